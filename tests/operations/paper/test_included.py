"""What a price holds beside the work itself, and what it leaves out."""

from __future__ import annotations

import copy
import json
from dataclasses import replace

import pytest

from service.operations.paper.included import allowances
from service.operations.paper.subject import PricedSubject
from service.operations.quoting.quote import prepare_document
from tests.given.papers import EXAMPLES, shipped, subject_of


def with_extra(description: str) -> PricedSubject:
    """The quote of an example, an extra of its own added in front."""
    file = EXAMPLES / "driveway_into_bank.request.json"
    document = copy.deepcopy(json.loads(file.read_text(encoding="utf-8")))
    own = {"description": description, "kind": "fee", "cost": "12.00"}
    document["extras"] = [own, *document.get("extras", [])]
    prepared = prepare_document(document, shipped())
    quoted = prepared.run()
    example = subject_of("driveway_into_bank")
    return replace(example, request=prepared.request, quote=quoted.quote, answer=quoted.answer)


def test_allowances_are_the_sums_that_the_terms_set_aside() -> None:
    """Each sum of the terms whose caution is raised, and nothing that the request adds."""
    subject = subject_of("driveway_into_bank")
    terms = subject.quote.job.terms
    assert terms is not None
    raised = {caution.code for caution in subject.answer.cautions}
    due = [each.description for each in terms.allowances if each.caution in raised]
    assert due
    assert [what for what, _ in allowances(subject)] == due


@pytest.mark.parametrize("same", [True, False])
def test_allowances_are_told_apart_by_where_they_come_from(same: bool) -> None:
    """An extra of the request is none, even where it is called as a sum of the terms is."""
    before = [what for what, _ in allowances(subject_of("driveway_into_bank"))]
    found = list(allowances(with_extra(before[0] if same else "Flagger")))
    assert [what for what, _ in found] == before
