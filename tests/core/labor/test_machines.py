"""Machines in the labor: hours, days, operators, what takes their place where they don't fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.access import Access
from service.core.job.machine import Hired, Machine
from service.core.job.measured import Measured
from service.core.job.rates import Condition, MachineTask, Rates
from service.core.job.soil import SoilKind
from service.core.labor.compaction import compaction_rate
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import Labor, TaskHours
from service.core.labor.machine_time import hold_machines
from service.core.measure import US
from service.core.shares import Shares
from service.core.takeoff.quantities import Quantities
from tests.given.machines import (
    CUT,
    LB,
    PLATE,
    YD3,
    digger,
    machine_rates,
    machine_task,
    three,
    worked,
)
from tests.given.money import bought, daily, quantities, rates, scheduled, task
from tests.given.scheduled import schedule
from tests.given.walls import ft, inch

EASE = Condition(
    id="access_ease",
    title="How material comes",
    neutral="machine",
    choices={"machine": Decimal(1), "by_hand": Decimal("1.6")},
)
BY_HAND = task("dig_by_hand", by="cut_volume", hours="1.5", unit="yd3")


def refused(of: Rates, limits: SiteLimits, other: Sequence[TaskHours] = ()) -> Fault:
    """The one fault of a labor that can't be scheduled."""
    with pytest.raises(QuoteFaultsError) as caught:
        schedule(of, {}, quantities(), US, measured=CUT, limits=limits, other=other)
    (fault,) = caught.value.faults
    return fault


def done(labor: Labor) -> tuple[list[str], list[str]]:
    """Tasks of crews and of machines."""
    return [each.task for each in labor.tasks], [each.task for each in labor.machine_tasks]


def test_schedule_times_machines_apart_from_crews() -> None:
    """12 yd3 at 0.25 h are 3 machine-hours in one day, and 3 h of whoever runs the machine."""
    labor = worked(machine_rates(machine_task()))
    (time,) = labor.equipment
    assert (time.hours, time.days, time.machine.id) == (Decimal(3), 1, "digger")
    assert [(each.task, each.who, each.hours) for each in labor.tasks] == [
        ("dig", "crew", Decimal(3))
    ]
    assert labor.labor_hours == Decimal(3)
    assert [name for name, _ in time.shares] == ["wall-1"]
    assert time.how == ("3 machine-hours", "3 h / 8 h a day: 1 day begun")


def test_schedule_needs_nobody_for_a_machine_with_its_operator() -> None:
    """A machine without an operator of the rates takes no person-hours."""
    labor = worked(machine_rates(machine_task(), machines=[digger(operator=None)]))
    assert (labor.tasks, labor.labor_hours) == ((), Decimal(0))
    assert labor.equipment[0].hours == Decimal(3)


def test_schedule_leaves_out_machines_with_nothing_to_do() -> None:
    """Nothing is dug: no machine comes."""
    labor = worked(machine_rates(machine_task()), measured={})
    assert (labor.equipment, labor.machine_tasks) == ((), ())


def test_schedule_sums_the_variances_of_a_machine() -> None:
    """Two tasks of 12 yd3 at 1, 2 and 3 h: 24 h each with a deviation of 4 h; together 48 h and
    32^0.5 = 5.657 h, so 48 - 0.8416 x 5.657 = 43.24 h and 52.76 h."""
    rate = three("1", "2", "3")
    of = machine_rates(machine_task(hours=rate), machine_task("trim", hours=rate))
    (time,) = worked(of).equipment
    assert (time.hours, time.hours_low, time.hours_high) == (
        Decimal(48),
        Decimal("43.24"),
        Decimal("52.76"),
    )
    assert time.days == 6


def test_schedule_counts_idle_days_of_hire() -> None:
    """3 h are a day, and two more on which the machine stands."""
    hired = Hired(day_item="digger_day", idle_days=Decimal(2))
    (time,) = worked(machine_rates(machine_task(), machines=[digger(hired=hired)])).equipment
    assert time.days == 3


@pytest.mark.parametrize(("needs", "days"), [(((1, 1),), 1), (((2, 4),), 3), (((1, 1), (4, 4)), 4)])
def test_hold_machines_counts_from_first_to_last_day_of_need(
    needs: tuple[tuple[int, int], ...], days: int
) -> None:
    """A machine stays over the order of work, never for fewer days than its hours take."""
    of = machine_rates(machine_task())
    (held,) = hold_machines(worked(of).machine_tasks, of, {"digger": needs})
    assert sum(held.stays) == days


def test_hold_machines_leaves_others_alone() -> None:
    """A machine without a span has the days that its hours take, at one stay."""
    of = machine_rates(machine_task())
    (held,) = hold_machines(worked(of).machine_tasks, of, {})
    assert (held.hours, held.worked, held.stays) == (Decimal(3), 1, (1,))


@pytest.mark.parametrize(
    ("passage_ft", "width_in", "drawn_in", "clearance_in", "why"),
    [
        (5.5, 60, None, None, None),
        (5.45, 60, None, None, "5 ft wide and needs 0.5 ft of clearance"),
        (3, 34.8, None, 1.2, None),
        (2.95, 34.8, None, 1.2, "2.9 ft wide and needs 0.1 ft of clearance"),
        (3, 39, 30, 6, None),
        (2.95, 39, 30, 6, "2.5 ft wide with its tracks drawn in and needs 0.5 ft of clearance"),
        (5, 60, None, 0, None),
    ],
)
def test_schedule_passes_a_machine_with_its_clearance(
    passage_ft: float,
    width_in: float,
    drawn_in: float | None,
    clearance_in: float | None,
    why: str | None,
) -> None:
    """Width, tracks drawn in, and clearance fit the passage; 6 in where no clearance is given."""
    machine = digger(width_ft=width_in / 12)
    if drawn_in is not None:
        machine = replace(machine, width_drawn_in_m=inch(drawn_in))
    if clearance_in is not None:
        machine = replace(machine, clearance_m=inch(clearance_in))
    of = machine_rates(machine_task(otherwise="dig_by_hand"), tasks=[BY_HAND], machines=[machine])
    labor = worked(of, limits=SiteLimits(access=Access(narrowest_m=ft(passage_ft))))
    assert [entry.why for entry in labor.replaced] == (
        [] if why is None else [f"Digger is {why}, the narrowest passage is {passage_ft:g} ft"]
    )


@pytest.mark.parametrize(
    ("access", "code", "at"),
    [
        (Access(narrowest_m=ft(5.4)), "machine-too-wide", ("access", "narrowest_passage")),
        (Access(stairs=3), "machine-stopped-by-stairs", ("access", "stairs")),
        (Access(load_limit_kg=7999 * LB), "machine-too-heavy", ("access", "load_limit")),
    ],
)
def test_schedule_digs_by_hand_where_no_machine_comes(
    access: Access, code: str, at: tuple[str, ...]
) -> None:
    """12 yd3 at 1.5 h are 18 h by hand; without a task in its place the machine is a fault."""
    limits = SiteLimits(access=access)
    labor = worked(
        machine_rates(machine_task(otherwise="dig_by_hand"), tasks=[BY_HAND]), limits=limits
    )
    assert done(labor) == (["dig_by_hand"], [])
    assert labor.labor_hours == Decimal(18)
    (replaced,) = labor.replaced
    assert (replaced.task, replaced.by, replaced.code) == ("dig", "dig_by_hand", code)
    fault = refused(machine_rates(machine_task()), limits)
    assert (fault.code, fault.at) == (code, at)


def test_schedule_does_what_takes_a_tasks_place_only_then() -> None:
    """Where the machine digs, nobody digs by hand."""
    labor = worked(machine_rates(machine_task(otherwise="dig_by_hand"), tasks=[BY_HAND]))
    assert done(labor) == (["dig"], ["dig"])


def test_schedule_lets_a_machine_without_width_stay_outside() -> None:
    """What has no width is asked for no passage, and climbs no stairs."""
    access = Access(narrowest_m=ft(2), stairs=4)
    of = machine_rates(machine_task(), machines=[digger(width_ft=None)])
    assert worked(of, limits=SiteLimits(access=access)).replaced == ()


def lifting(otherwise: str | None) -> MachineTask:
    """A machine that sets units."""
    hours = three("1", "1", "1")
    setting = machine_task("set", by="standard_units", unit="each", hours=hours)
    return replace(setting, otherwise=otherwise, lifts_units=True)


def ten_units(pounds: int) -> Quantities:
    """Ten units of a weight."""
    line = replace(bought("block", "10"), weight_kg=10 * pounds * LB)
    return quantities(line, measured={"standard_units": (("wall-1", 10.0),)})


def test_schedule_takes_a_machine_that_lifts_the_heaviest_unit() -> None:
    """The machine lifts 100 lb: units of 90 and 100 lb are set by it, units of 105 lb by hand."""
    of = machine_rates(lifting("set_by_hand"), tasks=[task("set_by_hand")])
    assert done(schedule(of, {}, ten_units(90), US)) == (["set"], ["set"])
    assert done(schedule(of, {}, ten_units(100), US)) == (["set"], ["set"])
    labor = schedule(of, {}, ten_units(105), US)
    assert done(labor) == (["set_by_hand"], [])
    (replaced,) = labor.replaced
    assert (replaced.code, replaced.by) == ("machine-overloaded", "set_by_hand")


def test_schedule_refuses_units_that_no_machine_lifts_with_nothing_in_its_place() -> None:
    """With nobody to set them by hand the units are at fault."""
    with pytest.raises(QuoteFaultsError) as caught:
        schedule(machine_rates(lifting(None)), {}, ten_units(105), US)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("machine-overloaded", ("wall_system",))
    assert "may lift 100 lb, the heaviest unit weighs 105 lb" in fault.message


@pytest.mark.parametrize(("pounds", "way"), [(8000, "dig"), (7999, "dig_by_hand")])
def test_schedule_lets_a_way_carry_what_it_may(pounds: int, way: str) -> None:
    """A digger of 8,000 lb goes over what carries 8,000 lb, and not over what carries a pound
    less."""
    of = machine_rates(machine_task(otherwise="dig_by_hand"), tasks=[BY_HAND])
    limits = SiteLimits(access=Access(load_limit_kg=pounds * LB))
    labor = schedule(of, {}, quantities(), US, measured=CUT, limits=limits)
    assert done(labor)[0] == [way]


def test_compaction_rate_is_for_soils_that_the_machine_compacts() -> None:
    """The plate has layers for granular soil and silt: it has a rate there, none on clay; and a
    machine that compacts nothing has none anywhere."""
    plate = digger(compaction=PLATE)
    assert compaction_rate(plate, "granular", US) is not None
    assert compaction_rate(plate, "clay", US) is None
    assert compaction_rate(digger(), "granular", US) is None


def plate_and_rammer(plate: Machine, rammer: Machine) -> Rates:
    """A plate, in its place a rammer."""
    by_plate = machine_task(
        "plate", by="backfill_volume", machine="plate", compacts=True, otherwise="ram"
    )
    by_rammer = machine_task("ram", by="backfill_volume", machine="rammer", compacts=True)
    return machine_rates(by_plate, by_rammer, machines=[plate, rammer])


def test_schedule_moves_by_machine_only_under_the_choice_that_says_so() -> None:
    """Access by hand rules out the machine that would pass: 12 yd3 by hand at 1.5 h are 18 h, and
    `replaced` says which condition decides. Neutral, or chosen so, the machine works."""
    digs = replace(machine_task(otherwise="dig_by_hand"), only_if={"access_ease": "machine"})
    of = replace(machine_rates(digs, tasks=[BY_HAND]), conditions={"access_ease": EASE})
    for choices in ({}, {"access_ease": "machine"}):
        labor = schedule(of, choices, quantities(), US, measured=CUT)
        assert done(labor) == (["dig"], ["dig"])
    labor = schedule(of, {"access_ease": "by_hand"}, quantities(), US, measured=CUT)
    assert done(labor) == (["dig_by_hand"], [])
    assert labor.labor_hours == Decimal(18)
    (replaced,) = labor.replaced
    assert (replaced.code, replaced.by) == ("machine-ruled-out", "dig_by_hand")
    assert replaced.why == ("access ease is by hand, and Digger does it only where it is machine")


def test_schedule_refuses_a_choice_that_leaves_nobody_to_do_it() -> None:
    """With nothing in the task's place the condition is at fault."""
    digs = replace(machine_task(), only_if={"access_ease": "machine"})
    of = replace(machine_rates(digs), conditions={"access_ease": EASE})
    with pytest.raises(QuoteFaultsError) as caught:
        schedule(of, {"access_ease": "by_hand"}, quantities(), US, measured=CUT)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("machine-ruled-out", ("conditions", "access_ease"))


def test_schedule_rams_clay() -> None:
    """A plate takes granular soil in layers of 4 in: 17.111 yd3 an hour, so 34.222 yd3 take 2 h.
    Clay takes a rammer; of a soil of no stated kind the thinnest layer of the plate holds."""
    plate = digger("plate", width_ft=None, compaction=PLATE)
    ramming = replace(PLATE, layers_m={"clay": inch(4), "granular": inch(4)}, passes=8)
    of = plate_and_rammer(plate, digger("rammer", width_ft=None, compaction=ramming))
    # 1.75 ft x 70.4 ft x 60 x 1/3 ft x 0.75 / 4 = 462 ft3 an hour
    measured: dict[Measured, Shares] = {"backfill_volume": (("wall-1", 924 * ft(1) ** 3),)}

    def times(kind: SoilKind | None) -> list[tuple[str, Decimal]]:
        limits = SiteLimits(soil_kind=kind)
        return [(t.machine.id, t.hours) for t in worked(of, measured, limits).equipment]

    assert times("granular") == [("plate", Decimal(2))]
    assert times("clay") == [("rammer", Decimal(4))]
    assert times(None) == [("plate", Decimal("2.67"))]


def test_schedule_refuses_a_plate_on_clay_with_nothing_in_its_place() -> None:
    """Nobody compacts clay with a plate."""
    alone = machine_task(compacts=True, machine="plate")
    of = machine_rates(alone, machines=[digger("plate", compaction=PLATE)])
    fault = refused(of, SiteLimits(soil_kind="clay"))
    assert (fault.code, fault.at) == ("soil-not-compacted", ("soils",))


def test_schedule_takes_other_work_into_the_same_days() -> None:
    """Site work fills the days of crew and machine: 3 h and 6 h of digging are two days."""
    stump = TaskHours(
        task="stump",
        title="Grind a stump",
        worker="machine",
        who="digger",
        quantity=1.0,
        dimension="count",
        hours=Decimal(6),
        hours_low=Decimal(6),
        hours_high=Decimal(6),
        shares=(),
        told=lambda: ("1 each x 6 h per each = 6 h",),
    )
    other = (stump,)
    labor = schedule(machine_rates(machine_task()), {}, quantities(), US, measured=CUT, other=other)
    (time,) = labor.equipment
    assert (time.hours, time.days, time.how[0]) == (Decimal(9), 2, "3 + 6 = 9 machine-hours")
    assert labor.labor_hours == Decimal(9)
    fault = refused(machine_rates(), SiteLimits(access=Access(stairs=1)), other)
    assert (fault.code, "site work" in fault.message) == ("machine-stopped-by-stairs", True)


def test_schedule_takes_other_tasks_into_the_crews_days() -> None:
    """Hours timed elsewhere are added to those of the rates."""
    (found,) = scheduled(rates(task()), {"standard_units": (("wall-1", 189.0),)}).tasks
    other = (replace(found, task="fence"),)
    labor = schedule(rates(fixed=[daily("1")]), {}, quantities(), US, other=other)
    assert [each.task for each in labor.tasks] == ["fence", "travel"]
    assert labor.labor_hours == Decimal("10.45")


def test_schedule_keeps_the_strip_behind_the_units_for_hands() -> None:
    """A strip of 100 ft3, of which 60 ft3 are stone: of 300 ft3 of backfill 260 ft3 are left for
    a machine; without a strip all is."""
    cubic = ft(1) ** 3
    measured: dict[Measured, Shares] = {
        "hand_strip_volume": (("wall-1", 100 * cubic),),
        "drainage_volume": (("wall-1", 60 * cubic),),
        "backfill_volume": (("wall-1", 300 * cubic),),
    }
    strip = task("strip", by="hand_strip_volume", hours="1", unit="yd3")
    machine = machine_task(by="machine_backfill_volume", hours=three("1", "1", "1"))
    of = machine_rates(machine, tasks=[strip], machines=[digger(operator=None)])
    labor = schedule(of, {}, quantities(), US, measured=measured)
    assert labor.tasks[0].quantity == pytest.approx(100 * cubic)
    assert labor.machine_tasks[0].quantity == pytest.approx(260 * cubic)
    none: dict[Measured, Shares] = {**measured, "hand_strip_volume": ()}
    without = schedule(of, {}, quantities(), US, measured=none)
    assert without.tasks == ()
    assert without.machine_tasks[0].quantity == pytest.approx(300 * cubic)


def test_schedule_counts_loads() -> None:
    """A machine that carries loads says how many."""
    hauling = machine_task("haul", by="haul_off_loads", unit="load", hours=three("1", "1", "1"))
    measured: dict[Measured, Shares] = {"haul_off_loads": (("a", 1.0), ("b", 2.0))}
    assert worked(machine_rates(hauling), measured).equipment[0].loads == Decimal(3)


def test_schedule_shows_the_arithmetic_of_a_range() -> None:
    """An estimator can re-add expected hours and both points from the words."""
    (found,) = worked(machine_rates(machine_task(hours=three("1", "2", "3")))).machine_tasks
    assert found.how == (
        "measured by cut volume",
        "h per yd3: (1 low + 4 x 2 likely + 3 high) / 6 = 2",
        "12 yd3 x 2 h per yd3 = 24 h",
        (
            "deviation (36 high - 12 low) / 6 = 4 h; -/+ 0.8416 x the deviation: 20.63 h is "
            "not reached in one case of five, 27.37 h not exceeded in four of five"
        ),
    )
    assert found.quantity == 12 * YD3
