"""What a request changes and nothing of the quote uses."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.fact import Assumption
from service.core.job.terms import Allowance, Terms
from service.core.unused import unused_allowances, unused_conditions, unused_overrides
from tests.given.jobs import job_of
from tests.given.machines import digger, machine_rates, machine_task, worked
from tests.given.money import bought, priced, prices, task
from tests.given.site_work import asked, site_task
from tests.given.walls import level_wall

JOB = job_of(level_wall())
# Hand work that goes by the access is done in this job, the other task and the other machine
# task have nothing to do.
RATES = machine_rates(
    replace(machine_task("dig"), conditions=("ground",)),
    replace(machine_task("lift", by="standard_units", unit="each"), conditions=("season",)),
    machines=[digger(operator=None)],
    tasks=[
        task("trim", by="cut_volume", unit="yd3", conditions=("access",)),
        task("cap", by="cap_units", conditions=("season",)),
    ],
)
SEASON = replace(RATES.conditions["ground"], id="season")
RATES = replace(RATES, conditions={**RATES.conditions, "season": SEASON})


def fields(found: Iterable[Assumption]) -> list[str]:
    """What changes nothing."""
    listed = list(found)
    assert {each.value for each in listed} <= {"unused"}
    return [each.field for each in listed]


def test_unused_overrides_are_of_items_on_no_line() -> None:
    """Blocks are bought, caps aren't: only the price of caps changes nothing."""
    costs = {"block": ("5", "each"), "cap": ("6", "each")}
    of = prices({"block": ("4", "each")}, overrides=costs)
    lines = priced([bought("block")], of).lines
    assert fields(unused_overrides(of, lines)) == ["/prices/overrides/cap"]


@pytest.mark.parametrize(
    ("chosen", "unused"),
    [
        ({"access": "by_hand", "ground": "soft"}, []),
        ({"season": "soft"}, ["/conditions/season"]),
        ({"season": "firm"}, []),
    ],
)
def test_unused_conditions_are_those_that_no_work_goes_by(
    chosen: Mapping[str, str], unused: list[str]
) -> None:
    """Work by hand goes by the access and work of machines by the ground; what would go by the
    season isn't done. A neutral choice changes nothing anyhow."""
    job, labor = replace(JOB, rates=RATES, conditions=chosen), worked(RATES)
    assert {each.task for each in labor.tasks} == {"trim"}
    assert {each.task for each in labor.machine_tasks} == {"dig"}
    assert fields(unused_conditions(job, labor)) == unused


def test_unused_conditions_are_all_where_nobody_works() -> None:
    """Without labor no choice is used; one by which work beside the walls goes is."""
    job = replace(JOB, rates=RATES, conditions={"access": "by_hand", "season": "soft"})
    both = ["/conditions/access", "/conditions/season"]
    assert fields(unused_conditions(job, None)) == both
    fence = asked(site_task(conditions=("season",)), "40")
    beside = replace(job, site_work=(fence,))
    assert fields(unused_conditions(beside, worked(RATES))) == []
    assert fields(unused_conditions(beside, None)) == both
    assert fields(unused_conditions(JOB, None)) == []


def test_unused_allowances_are_for_cautions_that_are_not_given() -> None:
    """Of two sums the one whose caution holds is used."""
    fee = Allowance(caution="dust", description="A sum", kind="fee", cost=Decimal(250))
    terms = Terms(allowances=(fee, replace(fee, caution="street-used")))
    found = unused_allowances(replace(JOB, terms=terms), ["dust"])
    assert fields(found) == ["/terms/allowances/street-used"]
    assert fields(unused_allowances(JOB, ["dust"])) == []
