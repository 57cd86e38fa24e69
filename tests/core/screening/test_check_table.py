"""The table of checks: one row for each, nothing answered by another's part."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from pydantic import ValidationError

from service.catalog.documents.screening_basis import (
    GravityTable,
    LayeredTable,
    RequiredTable,
    hold_every_check,
)
from service.core.cautions.screening_facts import failing_facts
from service.core.job.basis import CHECKS, CheckName
from service.core.job.fact import Fact
from service.core.screening.check import Build, Check
from service.core.screening.check_row import CheckRow
from service.core.screening.check_table import CHECK_TABLE, rows_by_name
from tests.given.catalogs import shipped_catalog

ROWS = tuple(CHECK_TABLE.values())
FAILURES = [(row.name, build) for row in ROWS for build in row.cautions]
OPENAPI = Path(__file__).resolve().parents[3] / "openapi" / "README.md"


def test_rows_by_name_holds_every_check_once() -> None:
    """A check without a row, a row twice or out of order stops the service from starting."""
    assert tuple(rows_by_name(ROWS)) == CHECKS
    for rows in (ROWS[:-1], (*ROWS, ROWS[0]), ROWS[::-1]):
        with pytest.raises(ValueError, match="rows of checks are"):
            rows_by_name(rows)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_row_without_a_formula_is_refused(row: CheckRow) -> None:
    """Nothing would ever make that check, and no other formula answers for it."""
    with pytest.raises(ValueError, match=row.name):
        replace(row, stack=None, layered=None, beside=None)


# Where each check is made.
BOTH: tuple[Build, ...] = ("gravity", "reinforced")
MADE: dict[CheckName, tuple[Build, ...]] = {
    "base_sliding": BOTH,
    "overturning": BOTH,
    "eccentricity": BOTH,
    "bearing": BOTH,
    "interface_shear": BOTH,
    "hinge_height": ("gravity",),
    "layer_tension": ("reinforced",),
    "pullout": ("reinforced",),
    "connection": ("reinforced",),
    "tier_independence": ("gravity",),
    "overall_slope": ("gravity",),
    "water_pressure": ("gravity",),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_row_without_a_caution_is_refused(row: CheckRow) -> None:
    """What can fail says what is raised then, in each build in which it is made, and only there;
    one that is made in one build alone stands."""
    builds = MADE[row.name]
    with pytest.raises(ValueError, match=f"{row.name}.*no caution for {re.escape(str([*builds]))}"):
        replace(row, cautions={})
    stated = replace(row, cautions={build: row.cautions[build] for build in builds})
    assert [*stated.cautions] == [*builds]


def test_checks_beside_a_wall_are_those_of_the_job() -> None:
    """Tiers, the slope as a whole and water are not the wall's own stability."""
    beside = {"tier_independence", "overall_slope", "water_pressure"}
    assert {row.name for row in ROWS if not row.of_a_wall} == beside


def test_formulas_are_each_of_one_row() -> None:
    """No two checks share a formula or the words of one."""
    stacks = [row.stack for row in ROWS if row.stack]
    assert len({formula.figure for formula in stacks}) == len(stacks)
    assert len({formula.words for formula in stacks}) == len(stacks)
    assert len({row.words for row in ROWS}) == len(ROWS)


@pytest.mark.parametrize(("name", "build"), FAILURES)
def test_failing_check_raises_a_caution_of_the_place(name: CheckName, build: Build) -> None:
    """Whatever fails, the shipped place has a caution for it."""
    row = CHECK_TABLE[name]
    failed = Check(check=name, limit=row.limit, wall="wall", status="fail", source="", build=build)
    raised = [trigger for trigger, fact in failing_facts([failed]).items() if fact.value]
    assert raised == [row.cautions[build]]
    place = shipped_catalog().jurisdictions["plain"].core
    assert row.cautions[build] in {rule.trigger for rule in place.cautions}


def test_hold_every_check_refuses_a_basis_that_lacks_one() -> None:
    """A check without a key in the rule books, or a key that nothing reads, stops the start."""
    names = [row.name for row in ROWS if row.layered]
    hold_every_check(LayeredTable, names)
    for wrong in (names[1:], [*names, "hinge_height"]):
        with pytest.raises(ValueError, match="LayeredTable has keys"):
            hold_every_check(LayeredTable, wrong)


@pytest.mark.parametrize("name", CHECKS)
def test_each_check_is_explained_to_callers(name: str) -> None:
    """The table of checks in the API's page has a row for each."""
    assert f"| `{name}` |" in OPENAPI.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("table", "name", "where"),
    [
        (GravityTable, "pullout", r"pullout in \[reinforced\]"),
        (LayeredTable, "hinge_height", r"hinge_height in \[gravity\]"),
        (GravityTable, "tier_independence", "beside every wall"),
        (LayeredTable, "water_pressure", "beside every wall"),
    ],
)
def test_table_refuses_a_check_of_another_and_says_where_it_is_asked_for(
    table: type[RequiredTable], name: str, where: str
) -> None:
    """A figure for a check that isn't made there would read as if it were."""
    with pytest.raises(ValidationError) as raised:
        table.model_validate({name: "1.5"})
    (found,) = raised.value.errors()
    assert found["type"] == "check-elsewhere"
    assert re.search(where, found["ctx"]["hint"])


def told(name: CheckName) -> tuple[str, ...]:
    """The arithmetic of a check."""
    return (f"how of {name}",)


def test_failing_facts_give_the_arithmetic_of_the_one_check_that_raises_them() -> None:
    """Tiers have one check, so its arithmetic stands there; of the checks of a plain stack those
    that fail are named."""
    tiers, sliding, shear = (
        Check(
            check=name, limit="min", wall="wall", status="fail", source="", told=partial(told, name)
        )
        for name in ("tier_independence", "base_sliding", "interface_shear")
    )
    facts = failing_facts([tiers, sliding, shear])
    assert facts["tiers_not_independent"] == Fact(value=1.0, words="how of tier_independence")
    words = "Too little: sliding on the base, shear between courses."
    assert facts["gravity_fails"] == Fact(value=1.0, words=words)
