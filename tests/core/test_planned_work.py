"""Who does what: limits of machines, machines left out or chosen, work beside the walls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.built import lay_out_walls
from service.core.job.access import Access
from service.core.job.factor import ByAccess
from service.core.job.job import Job, Soils
from service.core.job.machine import ChooseBy, MachineCost
from service.core.job.rates import Rates
from service.core.planned_work import PlannedWork, plan_work
from service.core.takeoff.quantities import QuantityLine
from service.core.three_point import one_figure
from tests.given.earth import soil
from tests.given.jobs import job_of
from tests.given.machines import digger, machine_rates, machine_task
from tests.given.money import ACCESS, bought, quantities, task
from tests.given.site_work import asked, leaves, site_task, takes
from tests.given.walls import level_wall, system, unit

JOB = job_of(level_wall())
BY_WAY = ByAccess(
    machines=("digger",), machine="machine", wheeled="by_hand", carried="by_hand", wheeled_m=0.9
)
# Units are set by the digger, 0.05 h each, or by hand: 0.5 h each, half as much again where no
# digger comes to bring them. Nothing is done by the other machine.
BY_MACHINE = machine_task(
    "set",
    by="standard_units",
    unit="each",
    hours=one_figure(Decimal("0.05")),
    otherwise="set_by_hand",
)
BY_HAND = task("set_by_hand", by="standard_units", hours="0.5", conditions=("access",))
RATES = replace(
    machine_rates(BY_MACHINE, machines=[digger(), digger("spare")], tasks=[BY_HAND]),
    conditions={"access": replace(ACCESS, derivation=BY_WAY)},
)


def choosing(an_hour: str) -> Rates:
    """The rates, which choose machines by what an hour of the digger costs, and by 800 for a day
    of two people."""
    costs = {"digger": MachineCost(hour=Decimal(an_hour)), "spare": MachineCost()}
    return replace(RATES, choose_by=ChooseBy(machines=costs, crew_days={"crew": Decimal(800)}))


def plan(job: Job, *lines: QuantityLine) -> PlannedWork:
    """The plan of a job in which 100 units are set."""
    of = quantities(*lines, measured={"standard_units": (("wall-1", 100.0),)})
    return plan_work(job, lay_out_walls(job), of, None, {})


def access_of(found: PlannedWork) -> list[str]:
    """The choices of access that follow."""
    return [each.value for each in found.assumptions if each.field == "/conditions/access"]


@pytest.mark.parametrize(
    ("ordered", "crane", "heaviest_kg"),
    [
        (["block", "corner", "cap"], False, 2000.0),
        (["block", "corner"], False, 1000.0),
        (["corner"], False, None),
        (["block", "cap"], True, None),
    ],
)
def test_limits_have_the_heaviest_pallet_of_what_is_ordered(
    ordered: Sequence[str], heaviest_kg: float | None, *, crane: bool
) -> None:
    """100 blocks of 10 kg or 100 caps of 20 kg make a pallet, of corners nobody knows; a truck
    with a crane sets all of them down."""
    blocks = system(
        standard=unit("block", weight_kg=10.0, per_pallet=100),
        corner=unit("corner"),
        cap=unit("cap", weight_kg=20.0, per_pallet=100),
    )
    job = replace(JOB, system=blocks, access=Access(crane_truck=crane))
    lines = [bought(item) for item in ordered]
    assert plan(job, *lines, bought("stone")).limits.pallet_kg == heaviest_kg


def test_limits_have_the_soil_that_is_placed() -> None:
    """The fill that is named, else what was dug; of none nobody knows."""
    silt, sand = replace(soil(), kind="silt"), replace(soil(), kind="granular")
    kinds = [
        plan(replace(JOB, soils=of)).limits.soil_kind
        for of in (Soils(retained=silt), Soils(retained=silt, fill=sand), Soils())
    ]
    assert kinds == ["silt", "granular", None]


def test_machines_that_are_off_are_left_out_where_the_rates_have_them() -> None:
    """Without the digger people bring the units on the stated way: 100 x 0.5 x 1.5 = 75 h, not
    the 5 h with it, nor the 50 h of who is brought them. A machine of other rates is no matter."""
    job = replace(JOB, rates=RATES, access=Access())
    hours = []
    for off in ((), ("digger", "of other rates")):
        found = plan(replace(job, machines_off=off))
        assert found.labor is not None
        assert found.limits.left_out.keys() == {name for name in off if name == "digger"}
        assert access_of(found) == ["by_hand" if off else "machine"]
        hours.append(found.labor.labor_hours)
    assert hours == [5, 75]
    assert plan(replace(job, rates=None, machines_off=("digger",))).labor is None


@pytest.mark.parametrize(
    ("an_hour", "left_out", "access", "hours"),
    [("10", {"spare"}, "machine", 5), ("1000", {"digger", "spare"}, "by_hand", 75)],
)
def test_conditions_follow_from_the_machines_that_are_chosen(
    an_hour: str, left_out: set[str], access: str, hours: int
) -> None:
    """5 h of the digger and half a day of its operator are 50 + 400, or 5,400 at 1,000 an hour.
    By hand 75 h are 5 days of two people, 4,000. The spare machine has nothing to do."""
    found = plan(replace(JOB, rates=choosing(an_hour), access=Access()))
    assert found.labor is not None
    assert found.limits.left_out.keys() == left_out
    assert access_of(found) == [access]
    assert found.labor.labor_hours == hours


def test_phases_need_material_alone() -> None:
    """Blocks have to be there; what is carried off hasn't."""
    off = replace(bought("block"), item="tip", kind="disposal")
    found = plan(replace(JOB, rates=RATES), bought("block"), off)
    assert found.phases is not None
    needed = [line.item for phase in found.phases.phases for line in phase.materials]
    assert needed == ["block"]


def test_site_work_of_material_alone_buys_all_its_topsoil_and_tips_nothing() -> None:
    """Of 3 m3 of topsoil 2 m3 are heaped from the job itself; where nobody works nothing is
    heaped or tipped, and all 3 m3 are bought."""
    heap = site_task("heap", by="volume", unit="m3", disposal=[leaves("sod", "1", "m3")])
    spread = site_task("spread", by="volume", unit="m3", materials=[takes("topsoil", "1", "m3")])
    entries = (asked(replace(heap, heaps_topsoil=True), "2"), asked(spread, "3"))
    job = replace(JOB, site_work=entries)
    found = [
        {line.item: line.net for line in plan(each).quantities.lines}
        for each in (job, replace(job, materials_only=True))
    ]
    assert found == [{"topsoil": 1.0, "tip_sod": 2.0}, {"topsoil": 3.0}]
