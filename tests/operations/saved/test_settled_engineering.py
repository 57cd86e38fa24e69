"""What a kept answer of any version says of its engineering."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from service.operations.saved.settled_engineering import EngineeringNotSettledError, check_settled
from tests.given.quote_requests import Json

KEPT = Path(__file__).parents[1] / "kept" / "0.2.0"
FAILS = {"check": "base_sliding", "wall": "yard", "status": "fail"}
PASSES = {**FAILS, "status": "pass_as_assumed"}
CALLS = {"code": "engineer-height", "text": "..."}
OTHER = {"code": "trench-engineer", "text": "..."}


def kept(**answer: object) -> bytes:
    """An answer as it is kept, with what a test is about."""
    return json.dumps(answer).encode()


@pytest.mark.parametrize(
    ("checks", "cautions", "reasons"),
    [
        ([FAILS], [], ("base_sliding of yard fails",)),
        ([PASSES], [CALLS], ("caution engineer-height",)),
        ([FAILS, FAILS], [CALLS], ("base_sliding of yard fails", "caution engineer-height")),
        ([PASSES], [OTHER], ()),
    ],
)
def test_check_settled_goes_by_checks_and_codes(
    checks: list[Json], cautions: list[Json], reasons: tuple[str, ...]
) -> None:
    """A failing check, or a code that begins `engineer-`, keeps an answer in; a word on how it is
    settled lets it out."""
    if not reasons:
        check_settled(1, kept(checks=checks, cautions=cautions))
        return
    with pytest.raises(EngineeringNotSettledError) as caught:
        check_settled(1, kept(checks=checks, cautions=cautions))
    assert caught.value.reasons == reasons
    check_settled(1, kept(checks=checks, cautions=cautions, engineering={"settled": "by_owner"}))


def test_check_settled_reads_answers_without_checks() -> None:
    """Answers of the first version have neither checks nor cautions of that kind."""
    check_settled(1, kept(price={"total": "1"}))


@pytest.mark.parametrize("name", ["driveway_edge", "dug_terrace"])
def test_check_settled_reads_what_an_earlier_version_kept(name: str) -> None:
    """Kept bytes of 0.2.0, whose cautions name one `wall` each, call for an engineer too."""
    with pytest.raises(EngineeringNotSettledError) as caught:
        check_settled(3, (KEPT / f"{name}.answer.json").read_bytes())
    assert any(reason.startswith("caution engineer-") for reason in caught.value.reasons)
    assert "Revision 3 calls for an engineer" in str(caught.value)
