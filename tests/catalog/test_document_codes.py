"""Shipped entries with one thing changed: the code, the place and the words of the fault."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
from pydantic import ValidationError

from service.catalog import Catalog
from service.catalog.kinds import KINDS
from service.core.errors import Fault, Path
from service.faults import faults_from


def changed(document: Any, path: Path, value: object) -> dict[str, Any]:  # noqa: ANN401  TOML tables
    """A copy of an entry with a value put in at a path; None takes the key out."""
    copy: dict[str, Any] = deepcopy(document)
    at: Any = copy
    for step in path[:-1]:
        at = at[step]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return copy


def fault_of(kind: str, document: dict[str, Any]) -> Fault:
    """The one fault of a document."""
    model = KINDS[kind].document
    with pytest.raises(ValidationError) as caught:
        model.model_validate(document)
    (fault,) = faults_from(caught.value, model)
    return fault


@pytest.mark.parametrize(
    ("entry", "path", "value", "code", "said"),
    [
        ("soils/silty_sand", ("version",), "1 beta", "version-invalid", "letters, digits, points"),
        ("soils/silty_sand", ("version",), "-1", "version-invalid", "letters, digits, points"),
        ("jurisdictions/plain", ("cautions", 0, "over"), " 4 ft", "limit-invalid", "with its unit"),
        ("jurisdictions/plain", ("cautions", 0, "over"), "", "limit-invalid", "with its unit"),
    ],
)
def test_a_text_out_of_form_has_the_code_of_its_field(
    catalog: Catalog, entry: str, path: Path, value: object, code: str, said: str
) -> None:
    """Each kind of text has a code of its own, told where the text stands."""
    kind, _, name = entry.partition("/")
    document = getattr(catalog, kind)[name].document
    fault = fault_of(kind, changed(document, path, value))
    assert (fault.code, fault.at) == (code, path)
    assert said in fault.message


def test_a_basis_of_plumb_faces_says_up_to_which_batter(catalog: Catalog) -> None:
    """The highway method takes a face as plumb under a batter: without it nothing is screened."""
    document = catalog.screening_bases["fhwa"].document
    fault = fault_of("screening_bases", changed(document, ("wall", "plumb_under"), None))
    assert (fault.code, fault.at) == ("plumb-missing", ("wall", "plumb_under"))
    assert "plumb under a batter" in fault.message
    free = catalog.screening_bases["association"].document
    KINDS["screening_bases"].document.model_validate(free)
    assert "plumb_under" not in free["wall"]


@pytest.mark.parametrize("left", [0, 1])
def test_a_question_without_a_choice_is_no_question(catalog: Catalog, left: int) -> None:
    """With one answer, or none, a visitor has nothing to choose."""
    document = catalog.websites["demo_site"].document
    lines = [choice for choice in document["choices"] if choice["question"] == "line"]
    others = [choice for choice in document["choices"] if choice["question"] != "line"]
    fault = fault_of("websites", changed(document, ("choices",), lines[:left] + others))
    assert (fault.code, fault.at) == ("choices-unclear", ("choices",))
    assert "line needs two answers or more" in fault.message


def test_answers_to_a_question_have_ids_of_their_own(catalog: Catalog) -> None:
    """Two answers of one id can't be told apart."""
    document = catalog.websites["demo_site"].document
    first, second, *_ = document["choices"]
    assert first["question"] == second["question"] == "line"
    fault = fault_of("websites", changed(document, ("choices", 0, "id"), second["id"]))
    assert (fault.code, fault.at) == ("choices-unclear", ("choices",))
    assert "an id of its own" in fault.message
