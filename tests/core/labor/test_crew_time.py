"""A crew's hours and days, and who is there when, by hand. A crew of two works 16 h a day."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from service.core.job.phase import Phase
from service.core.job.rates import Rates, Waiting, day_of
from service.core.labor.crew_stay import Presence, gaps, stay_of, together
from service.core.labor.crew_time import day_faults, once_hours
from service.core.labor.hours import TaskHours, TimedWork
from service.core.labor.labor import task_timing
from service.core.labor.phase_work import MachineUse, OrderedWall, crew_work
from service.core.labor.sequencing.phases import Ordered, WorkOrder, order_work
from service.core.measure import US
from tests.given.machines import LB, machine_rates, machine_task
from tests.given.money import bought, crew, daily, once, quantities, rates, task
from tests.given.phases import ONE, hours, ordered
from tests.given.walls import ft

TWO = (OrderedWall(name="a", length_m=ft(10)), OrderedWall(name="b", length_m=ft(30)))
CAP: dict[str, Phase] = {"cap": "cap", "edge": "cap", "drive": "cap"}
BOTH = rates(crews=[crew(), crew("dig")])


def test_once_hours_are_there_once() -> None:
    """Four hours once per job: one of them, by nobody's shares."""
    found = once_hours(once("4"))
    assert (found.quantity, found.dimension, found.hours) == (1.0, "count", Decimal("4.00"))


def test_day_faults_are_of_crews_without_an_hour_for_their_work() -> None:
    """15.5 h of travel leave half an hour a day. 16 h leave none, which only matters to a crew that
    has work."""
    work = (hours("cap", "8"),)
    assert day_faults(replace(BOTH, fixed=(daily("15.5"),)), work) == ()
    assert day_faults(replace(BOTH, fixed=(daily("16", who="dig"),)), work) == ()
    idle = (*work, hours("edge", "0", who="dig"))
    assert day_faults(replace(BOTH, fixed=(daily("16", who="dig"),)), idle) == ()
    busy = (*work, hours("edge", "8", who="dig"))
    (fault,) = day_faults(replace(BOTH, fixed=(daily("16"),)), busy)
    assert fault.message.startswith("crew 'crew' works 16 h a day, and its daily hours")


@pytest.mark.parametrize(
    ("worked", "holds", "paid"),
    [
        ("8", "0.5 days hold 8 h", "0.5 days x 8 h x 2 people = 8 h"),
        ("16", "1 day holds 16 h", "1 day x 8 h x 2 people = 16 h"),
        ("32", "2 days hold 32 h", "2 days x 8 h x 2 people = 32 h"),
    ],
)
def test_order_work_tells_no_waiting_where_days_hold_the_hours(
    worked: str, holds: str, paid: str
) -> None:
    """Days that the hours take, and nothing of an order that makes them more."""
    (time,) = ordered(hours("cap", worked)).labor.crews
    assert time.how == (
        "a day of the crew: 2 people x 8 paid h x 1 worked = 16 h",
        f"tasks and once per job {worked} h = {worked} h; {holds}",
        f"paid: {paid}",
    )


def test_together_joins_spans_that_touch() -> None:
    """Two half days and the two after them are four; a gap parts spans."""
    assert together([(2, 4), (0, 2), (5, 6)]) == ((0, 4), (5, 6))


def test_gaps_are_before_between_and_after() -> None:
    """Of six half days the first, the third and fourth; to the end where it lies later."""
    assert gaps(((1, 2), (4, 6)), 6) == ((0, 1), (2, 4))
    assert gaps(((0, 2),), 3) == ((2, 3),)


def test_stay_of_counts_nobody_twice() -> None:
    """Of two who are there for two days one drives on the second: no half day has him alone."""
    present = [
        Presence(start=Fraction(0), finish=Fraction(2), people=2),
        Presence(start=Fraction(1), finish=Fraction(2), people=1),
    ]
    found = stay_of(crew(), day_of(crew(), ()), present, "elsewhere")
    assert (found.there, found.people) == (((0, 4),), ((2, Decimal(2)),))


def test_crew_work_is_at_walls_that_have_a_share() -> None:
    """Caps of `a` alone: `b` has no share of them, and what is graded is no wall. Where no wall has
    a share, 8 h ride along by 10 and 30 ft."""
    for a, expected in ((1.0, {"a": Decimal(8)}), (0.0, {"a": Decimal(2), "b": Decimal(6)})):
        shares = (("a", a), ("b", 0.0), ("grading: lawn", 2.0))
        timed = TimedWork(tasks=(hours("cap", "8", shares=shares),))
        work = crew_work(timed, rates(), CAP, TWO)
        assert {each.place: each.hours for each in work} == expected


def put_in_order(
    of: Rates, *tasks: TaskHours, walls: tuple[OrderedWall, ...], machines: tuple[MachineUse, ...]
) -> Ordered:
    """Work on caps in its order."""
    order = WorkOrder(walls=walls, task_phases=CAP, item_phases={}, machines=machines)
    return order_work(TimedWork(tasks=tasks), of, order, US)


def test_order_crews_counts_how_long_each_crew_is_in_a_phase() -> None:
    """The crew caps `a` in half a day, diggers edge `b` in one: neither is at the other's wall."""
    tasks = (
        hours("cap", "8", shares=(("a", 1.0),)),
        hours("edge", "16", who="dig", shares=(("b", 1.0),)),
    )
    present = put_in_order(BOTH, *tasks, walls=TWO, machines=()).crews.present
    assert (present["crew", "cap"], present["dig", "cap"]) == (Fraction(1, 2), Fraction(1))


@pytest.mark.parametrize("waiting", ["paid", "elsewhere"])
def test_order_crews_counts_a_driver_to_the_end(waiting: Waiting) -> None:
    """8 h by hand keep the other of two for a day, the machine of 12 h its driver for two."""
    digger = MachineUse(
        machine="digger",
        title="Digger",
        phase="cap",
        hours=Decimal(12),
        hours_per_day=Decimal(6),
        operator="crew",
    )
    of = replace(rates(), waiting=waiting)
    tasks = (hours("cap", "8"), hours("drive", "12"))
    found = put_in_order(of, *tasks, walls=ONE, machines=(digger,))
    assert found.crews.present["crew", "cap"] == 2


def test_task_timing_takes_the_heaviest_unit() -> None:
    """Ten blocks of 400 lb together, two corners of 100: 50 lb is the heaviest. Stone is no unit,
    and of the cap nobody knows the weight."""
    lines = (
        replace(bought("block", "10"), weight_kg=400 * LB),
        replace(bought("corner", "2"), weight_kg=100 * LB),
        replace(bought("stone", "1", group="stone"), weight_kg=2000 * LB),
        bought("cap", "5"),
    )
    assert task_timing(rates(), {}, quantities(*lines), US).limits.unit_kg == 50 * LB
    assert task_timing(rates(), {}, quantities(lines[-1]), US).limits.unit_kg is None


def test_task_timing_times_each_reason_to_break_pallets() -> None:
    """The hours are the same, and each says its own reason."""
    breaking = replace(task("break", by="all_units", hours="0.01"), breaks_pallets=True)
    units = quantities(measured={"all_units": (("wall-1", 100.0),)})
    timing = task_timing(rates(breaking), {}, units, US)
    for reason in ("too heavy", "nothing lifts one"):
        found = timing.crew_hours(breaking, reason)
        assert found is not None
        assert found.hours == Decimal("1.00")
        assert reason in found.how
    assert timing.crew_hours(breaking) is None


def test_task_timing_says_who_does_a_task() -> None:
    """A crew by its name, and a machine."""
    digging = task("dig_by_hand", by="all_units", who="dig")
    of = replace(machine_rates(machine_task(by="all_units", unit="each")), crews=BOTH.crews)
    units = quantities(measured={"all_units": (("wall-1", 100.0),)})
    timing = task_timing(replace(of, tasks=(digging,)), {}, units, US)
    by_hand, by_machine = timing.crew_hours(digging), timing.machine_hours(of.machine_tasks[0])
    assert by_hand is not None
    assert by_machine is not None
    assert (by_hand.worker, by_hand.who) == ("crew", "dig")
    assert (by_machine.worker, by_machine.who) == ("machine", "digger")
