"""Every shipped caution in whole answers: given to a job that it is for, and to none beside it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from service.catalog import Catalog
from service.operations.quoting.quote import quote_request
from service.operations.quoting.quote_request import read_request
from tests.given.caution_sides import SIDES
from tests.given.quote_requests import Json

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# Said of every job, but where another one speaks.
ALWAYS = {"utilities-not-located", "overhead-lines", "dust", "cut-inspection", "lifting"}
TESTS = Path(__file__).parents[2]
# What takes a catalog, rates or terms of its own: the file and the test that tries both sides.
ELSEWHERE = {
    "class-a-soil": ("core/cautions/test_place_facts.py", "soil_facts_say_class_a"),
    "soil-unsuitable": ("core/cautions/test_place_facts.py", "soil_facts_look_at_the_fill"),
    "heavy-unit": ("reference/test_safety_references.py", "trap_39_three_quarters"),
    "machine-unit": ("reference/test_safety_references.py", "trap_39_three_quarters"),
    "pallets-too-heavy": ("core/cautions/test_work_facts.py", "pallet_fact"),
    "pad-on-fill": ("operations/quoting/test_tier_earth.py", "pad_on_fill"),
    "plan-too-tight": ("core/cautions/test_earth_facts.py", "plan_is_too_tight"),
    "trench-open-too-long": ("core/labor/test_phases.py", "trench_facts_hold_nothing"),
    "price-tax-assumed": ("api/test_quote_cautions.py", "tax"),
    "markup-above-cost": ("api/test_meant.py", "markup"),
}


def held(request: Json, catalog: Catalog) -> tuple[str, ...]:
    """Codes of all rules that hold, those that others speak for included."""
    return quote_request(read_request(request, catalog), catalog).quote.cautions.held


def test_every_shipped_caution_is_tried_from_both_sides(catalog: Catalog) -> None:
    """Each code has its pair of jobs here, or the test that tries it."""
    for file, test in ELSEWHERE.values():
        assert re.search(f"def test_\\w*{test}", (TESTS / file).read_text("utf-8")), test
    codes = {rule.code for rule in catalog.jurisdictions["plain"].core.cautions}
    assert codes == ALWAYS | set(SIDES) | set(ELSEWHERE)


@pytest.mark.parametrize("code", SIDES)
def test_caution_holds_on_its_side_alone(catalog: Catalog, code: str) -> None:
    """Just short of its limit, or without its matter, it doesn't hold; at it, it does."""
    without, with_it = SIDES[code]
    assert code not in held(without, catalog)
    assert code in held(with_it, catalog)
