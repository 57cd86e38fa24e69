"""Crews that are elsewhere while a machine works (rule 19.10), worked by hand. A crew of two works
16 h a day, a machine six; eight hours of a day are paid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.phase import Phase
from service.core.job.rates import FixedHours, Waiting
from service.core.job.terms import Terms
from service.core.labor.crew_stay import count_halves
from service.core.labor.hours import TaskHours
from service.core.labor.phase_work import MachineUse, OrderedWall
from service.core.labor.sequencing.phases import Phases
from service.core.price.pricing import price
from tests.given.money import crew, daily, prices, quantities
from tests.given.phases import hours, ordered, rules
from tests.given.walls import ft

WAYS: tuple[Waiting, ...] = get_args(Waiting)
TWO = (OrderedWall(name="a", length_m=ft(10)), OrderedWall(name="b", length_m=ft(30)))


def machine(
    phase: Phase, count: str, *, operator: str | None = None, name: str = "digger"
) -> MachineUse:
    """A machine that works six hours a day, with its own driver or one of a crew."""
    return MachineUse(
        machine=name,
        title=name,
        phase=phase,
        hours=Decimal(count),
        hours_per_day=Decimal(6),
        shares=(("wall-1", 1.0),),
        operator=operator,
    )


def crews(found: Phases) -> dict[str, tuple[Decimal, Decimal]]:
    """Days and paid hours of each crew."""
    return {each.crew: (each.days, each.paid_hours) for each in found.labor.crews}


def away(found: Phases, name: str = "crew") -> list[tuple[int, int]]:
    """Half days from and before which a crew is away."""
    return [span for each in found.crews if each.crew == name for span in each.away]


def phase_days(found: Phases) -> list[Decimal]:
    """Half days of the one crew, phase by phase."""
    return [part.days for each in found.phases for part in each.crew_days]


@pytest.mark.parametrize(
    ("waiting", "days", "paid", "gone"),
    [("paid", "3", "48", []), ("elsewhere", "1.5", "24", [(1, 4)])],
)
def test_order_work_lets_people_leave_for_whole_half_days(
    waiting: Waiting, days: str, paid: str, gone: list[tuple[int, int]]
) -> None:
    """8 h by hand are the morning of day 1; the machine, with its own driver, works 12 h, until the
    evening of day 2; caps are day 3. Elsewhere, the crew is away from noon of day 1 to day 3."""
    found = ordered(
        hours("rough_cut", "8"),
        hours("cap", "16"),
        machines=[machine("rough_cut", "12")],
        waiting=waiting,
    )
    assert crews(found) == {"crew": (Decimal(days), Decimal(paid))}
    assert (found.labor.crew_days, sum(phase_days(found))) == (Decimal(days), Decimal(days))
    assert (away(found), found.working_days) == (gone, Decimal(3))


@pytest.mark.parametrize(("waiting", "paid"), [("paid", "48"), ("elsewhere", "40")])
def test_order_work_pays_drivers_alone(waiting: Waiting, paid: str) -> None:
    """One of two drives 12 h, two days; the other does the 8 h by hand on day 1. Caps are day 3.
    Paid, both are there: 3 x 8 x 2. Elsewhere, the driver is alone on day 2: (2 + 1 + 2) x 8."""
    found = ordered(
        hours("rough_cut", "8"),
        hours("drive", "12"),
        hours("cap", "16"),
        phases={"rough_cut": "rough_cut", "drive": "rough_cut", "cap": "cap"},
        machines=[machine("rough_cut", "12", operator="crew")],
        waiting=waiting,
    )
    assert crews(found) == {"crew": (Decimal(3), Decimal(paid))}
    assert (away(found), found.labor.crew_days) == ([], found.working_days)
    (time,) = found.labor.crews
    assert time.person_days == Decimal(paid) / 8
    said = {
        "paid": "paid: 3 days x 8 h x 2 people = 48 h",
        "elsewhere": "paid: 2 days x 8 h x 2 people + 1 day x 8 h x 1 driver alone = 40 h",
    }
    assert time.how[-1] == said[waiting]
    holds = {"paid": "; 3 days hold 48 h", "elsewhere": ""}
    assert time.how[1] == f"tasks and once per job 36 h = 36 h{holds[waiting]}"


@pytest.mark.parametrize(
    ("by_hand", "paid"),
    [
        ("0", "24"),  # the driver alone for two days, both of them for the caps of half a day
        ("2", "28"),  # the other is done after 2 h of 8: there for the morning
        ("9", "36"),  # 9 h of the other are a day and a half day
        ("12", "36"),  # 12 h of the other are a day and a half: (3 + 0.5 + 1) x 8
        ("13", "40"),  # 13 h of the other begin the last half day
        ("17", "40"),  # 17 + 12 h of two people are more than the other's: he is there to the end
        ("20", "40"),  # 32 h of two people are the two days
        ("21", "48"),  # 33 h are two days and a half day begun; caps begin in it and end in another
    ],
)
def test_order_work_lets_hands_go_when_their_work_is_done(by_hand: str, paid: str) -> None:
    """Beside a driver of two days the other of two works by hand, 8 h a day, then leaves."""
    found = ordered(
        *([hours("rough_cut", by_hand)] if by_hand != "0" else []),
        hours("drive", "12"),
        hours("cap", "8"),
        phases={"rough_cut": "rough_cut", "drive": "rough_cut", "cap": "cap"},
        machines=[machine("rough_cut", "12", operator="crew")],
        waiting="elsewhere",
    )
    assert crews(found)["crew"][1] == Decimal(paid)


def test_order_work_ends_with_the_machine_where_all_of_a_crew_drive() -> None:
    """A crew of one drives 12 h, two days of the machine, and works 1 h by hand: 13 h are less than
    two days of its own, and nobody is left to do that hour before the machine is done."""
    found = ordered(
        hours("rough_cut", "1"),
        hours("drive", "12"),
        phases={"rough_cut": "rough_cut", "drive": "rough_cut"},
        crews=[crew(size=1)],
        machines=[machine("rough_cut", "12", operator="crew")],
        waiting="elsewhere",
    )
    assert crews(found) == {"crew": (Decimal(2), Decimal(16))}


def test_order_work_ends_with_the_last_machine_where_all_of_a_crew_drive() -> None:
    """Two of two drive, 6 h and 18 h, one day and three. With 8 h by hand their 32 h are two days,
    and nobody is left to do those before the second machine is done: three days."""
    found = ordered(
        hours("rough_cut", "8"),
        hours("drive", "24"),
        phases={"rough_cut": "rough_cut", "drive": "rough_cut"},
        machines=[
            machine("rough_cut", "6", operator="crew", name="loader"),
            machine("rough_cut", "18", operator="crew"),
        ],
        waiting="elsewhere",
    )
    assert crews(found) == {"crew": (Decimal(3), Decimal(48))}


def test_order_work_keeps_all_where_no_machine_works_on() -> None:
    """A digger works 20 h, ten a day; with 12 h by hand the crew's 32 h take the same two days, and
    nobody goes before. An hour less by hand is not two days: the other is done after 11 h of 8 a
    day, a day and a half."""
    digger = replace(machine("rough_cut", "20", operator="crew"), hours_per_day=Decimal(10))
    for by_hand, paid in (("12", 32), ("11", 28)):
        found = ordered(
            hours("rough_cut", by_hand),
            hours("drive", "20"),
            phases={"rough_cut": "rough_cut", "drive": "rough_cut"},
            machines=[digger],
            waiting="elsewhere",
        )
        assert crews(found) == {"crew": (Decimal(2), Decimal(paid))}


def test_order_work_pays_no_driver_of_a_machine_without_an_hour() -> None:
    """Diggers take the first quarter of day 1. Then one of the crew drives 18 h, three days, from
    the first half day to the seventh; what takes no hour of another machine takes no driver."""
    found = ordered(
        hours("rough_cut", "4", who="dig"),
        hours("drive", "18"),
        phases={"rough_cut": "rough_cut", "drive": "cap"},
        crews=[crew(), crew("dig")],
        machines=[
            machine("cap", "0", operator="crew", name="loader"),
            machine("cap", "18", operator="crew"),
        ],
        waiting="elsewhere",
    )
    assert crews(found)["crew"] == (Decimal("3.5"), Decimal(28))


def test_order_work_lets_two_hands_share_what_is_done_by_hand() -> None:
    """Beside a driver of two days two others do 8 h by hand, 4 h each: three people for half a day,
    then the driver alone for a day and a half."""
    found = ordered(
        hours("rough_cut", "8"),
        hours("drive", "12"),
        phases={"rough_cut": "rough_cut", "drive": "rough_cut"},
        crews=[crew(size=3)],
        machines=[machine("rough_cut", "12", operator="crew")],
        waiting="elsewhere",
    )
    assert crews(found) == {"crew": (Decimal(2), Decimal(3 * 4 + 12))}


def test_order_work_keeps_two_drivers_while_both_machines_work() -> None:
    """Of a crew of three two drive, 12 h and 6 h: two days and one. Nothing is done by hand: two
    drivers on day 1, one on day 2, three people on the 24 h of day 3: (2 + 1 + 3) x 8 h."""
    found = ordered(
        hours("drive", "12"),
        hours("haul", "6"),
        hours("cap", "24"),
        phases={"drive": "rough_cut", "haul": "rough_cut", "cap": "cap"},
        crews=[crew(size=3)],
        machines=[
            machine("rough_cut", "12", operator="crew"),
            machine("rough_cut", "6", operator="crew", name="loader"),
        ],
        waiting="elsewhere",
    )
    assert crews(found) == {"crew": (Decimal(3), Decimal(48))}
    (time,) = found.labor.crews
    assert time.how[-1] == (
        "paid: 1 day x 8 h x 3 people + 1 day x 8 h x 2 drivers alone + 1 day x 8 h x 1 driver "
        "alone = 48 h"
    )


@pytest.mark.parametrize(
    ("waiting", "days", "travel", "gone"),
    [("paid", "3.5", "8", []), ("elsewhere", "1.5", "4", [(2, 6)])],
)
def test_order_work_travels_on_days_of_work_alone(
    waiting: Waiting, days: str, travel: str, gone: list[tuple[int, int]]
) -> None:
    """With 2 h of travel a day 14 h are left: 7 h by hand and travel are 9 h, more than half of 16:
    day 1. The machine works three days, 18 h. Caps of 3.5 h and travel are the morning of day 4.
    Elsewhere, no one travels on days 2 and 3."""
    found = ordered(
        hours("rough_cut", "7"),
        hours("cap", "3.5"),
        machines=[machine("rough_cut", "18")],
        fixed=[daily("2")],
        waiting=waiting,
    )
    assert crews(found) == {"crew": (Decimal(days), Decimal(days) * 16)}
    assert (found.daily_hours, away(found)) == (Decimal(travel), gone)
    assert found.labor.labor_hours == Decimal("10.5") + Decimal(travel)
    assert found.working_days == Decimal("3.5")


@pytest.mark.parametrize(
    ("waiting", "dig", "gone"), [("paid", "4", []), ("elsewhere", "2", [(2, 6)])]
)
def test_order_work_gives_each_crew_days_of_its_own(
    waiting: Waiting, dig: str, gone: list[tuple[int, int]]
) -> None:
    """The digging crew cuts on day 1 and grades on day 4; the other builds on days 2 and 3, and is
    neither paid before nor after."""
    found = ordered(
        hours("rough_cut", "16", who="dig"),
        hours("build_and_backfill", "32"),
        hours("grade", "16", who="dig"),
        crews=[crew(), crew("dig")],
        waiting=waiting,
    )
    assert crews(found) == {
        "crew": (Decimal(2), Decimal(32)),
        "dig": (Decimal(dig), Decimal(dig) * 16),
    }
    assert found.labor.crew_days == 2 + Decimal(dig)
    assert (away(found), away(found, "dig")) == ([(0, 2), (6, 8)], gone)


@pytest.mark.parametrize(
    ("waiting", "days", "gone"),
    [("paid", "3", [(0, 2), (8, 10)]), ("elsewhere", "2", [(0, 2), (4, 6), (8, 10)])],
)
def test_order_work_leaves_out_machines_with_their_own_driver(
    waiting: Waiting, days: str, gone: list[tuple[int, int]]
) -> None:
    """A machine with its own driver clears on day 1, digs the trench on day 3 and grades on day 5;
    the crew cuts on day 2 and caps on day 4. Paid, it waits on day 3, and is there neither before
    its own work nor after it."""
    found = ordered(
        hours("rough_cut", "16"),
        hours("cap", "16"),
        machines=[machine("take_down", "6"), machine("trench_and_pad", "6"), machine("grade", "6")],
        waiting=waiting,
    )
    assert crews(found) == {"crew": (Decimal(days), Decimal(days) * 16)}
    assert (away(found), found.working_days) == (gone, Decimal(5))
    assert sum(phase_days(found)) == Decimal(days)


@pytest.mark.parametrize("waiting", WAYS)
def test_order_work_counts_days_on_which_one_of_the_crew_drives(waiting: Waiting) -> None:
    """Clearing by a machine that one of the crew drives is the crew's work: days 1 and 2 are in
    its days before the caps of day 3. Elsewhere, the driver alone is paid for them."""
    found = ordered(
        hours("take_down", "12"),
        hours("cap", "16"),
        machines=[machine("take_down", "12", operator="crew")],
        waiting=waiting,
    )
    paid = {"paid": Decimal(48), "elsewhere": Decimal(16 + 16)}
    assert crews(found) == {"crew": (Decimal(3), paid[waiting])}
    assert away(found) == []


def test_order_work_looks_for_half_days_between_stretches() -> None:
    """A trench of 12 machine hours, two days, and 64 h of building, four, are opened in three
    stretches of two days: each 2/3 of a day of the machine and 4/3 of the crew. The crew works from
    0.67 to 2, 2.67 to 4 and 4.67 to 6: away for the first half day of each stretch."""
    found = ordered(
        hours("build_and_backfill", "64"),
        machines=[machine("trench_and_pad", "12")],
        by=rules(),
        waiting="elsewhere",
    )
    assert found.stretches[0].count == 3
    assert away(found) == [(0, 1), (4, 5), (8, 9)]
    assert crews(found) == {"crew": (Decimal("4.5"), Decimal(72))}


def test_order_work_lets_hands_go_in_each_stretch_of_a_trench() -> None:
    """A driver of four days, 8 h by hand of the other, and 64 h of building, four days, are opened
    in four stretches of two days: the other is done after 2 h of each first day and leaves at
    noon, both build on each second day. 4 x (2 x 4 + 4 + 2 x 8) h are paid."""
    found = ordered(
        hours("hand", "8"),
        hours("drive", "24"),
        hours("build_and_backfill", "64"),
        phases={
            "hand": "trench_and_pad",
            "drive": "trench_and_pad",
            "build_and_backfill": "build_and_backfill",
        },
        machines=[machine("trench_and_pad", "24", operator="crew")],
        by=rules(),
        waiting="elsewhere",
    )
    assert found.stretches[0].count == 4
    assert crews(found) == {"crew": (Decimal(8), Decimal(4 * 28))}


@st.composite
def jobs(draw: st.DrawFn) -> tuple[list[TaskHours], list[MachineUse], list[FixedHours]]:
    """Up to five phases, each with work by hand, a machine, or both; with or without travel."""
    names: Sequence[Phase] = ("take_down", "rough_cut", "trench_and_pad", "cap", "grade")
    tasks, machines = [], []
    for phase in names:
        count = str(Decimal(draw(st.integers(0, 2400))) / 100)
        if by_hand := draw(st.integers(0, 4000)):
            tasks.append(hours(phase, str(Decimal(by_hand) / 100)))
        driver = draw(st.sampled_from([None, "crew"]))
        if Decimal(count):
            machines.append(machine(phase, count, operator=driver))
            if driver:
                tasks.append(hours(f"drive_{phase}", count))
    travel = draw(st.integers(0, 6))
    return tasks, machines, [daily(str(travel))] if travel else []


def order_of(
    job: tuple[list[TaskHours], list[MachineUse], list[FixedHours]], waiting: Waiting
) -> Phases:
    """The order of work of a random job; who drives does it in the machine's phase."""
    tasks, machines, fixed = job
    phases = {task.task: task.task.removeprefix("drive_") for task in tasks}
    return ordered(*tasks, phases=phases, machines=machines, fixed=fixed, waiting=waiting)  # type: ignore[arg-type]


@given(jobs())
def test_order_work_never_pays_more_elsewhere(
    job: tuple[list[TaskHours], list[MachineUse], list[FixedHours]],
) -> None:
    """Who may leave is never there, paid or on the way for longer; the order ends no later."""
    paid, elsewhere = (order_of(job, waiting) for waiting in WAYS)
    assert elsewhere.working_days <= paid.working_days
    assert elsewhere.labor.crew_days <= paid.labor.crew_days
    assert elsewhere.daily_hours <= paid.daily_hours
    for less, more in zip(elsewhere.labor.crews, paid.labor.crews, strict=True):
        assert less.paid_hours <= more.paid_hours
    terms = Terms(overhead_per_crew_day=Decimal(300))
    listed = prices({"crew_hour": ("55.37", "h")})
    if paid.labor.crews:
        totals = [
            price(quantities(), found.labor, listed, terms, (), ("wall-1",)).total
            for found in (elsewhere, paid)
        ]
        assert totals[0] <= totals[1]


@given(jobs(), st.sampled_from(WAYS))
def test_order_work_splits_the_order_into_days_there_and_away(
    job: tuple[list[TaskHours], list[MachineUse], list[FixedHours]], waiting: Waiting
) -> None:
    """The crew's days, its phases' days and what it is away make up one figure, and hold the
    hours."""
    found = order_of(job, waiting)
    for time in found.labor.crews:
        gone = Decimal(count_halves(tuple(away(found)))) / 2
        assert time.days + gone == found.working_days
        assert sum(phase_days(found)) == time.days == found.labor.crew_days
        assert time.days * 8 <= time.paid_hours <= time.days * 16


@given(jobs())
def test_order_work_pays_the_half_days_that_work_touches(
    job: tuple[list[TaskHours], list[MachineUse], list[FixedHours]],
) -> None:
    """Without travel, by a second method: one phase after another; each half day is asked whether
    hands or a driver are at work in it."""
    tasks, machines, _ = job
    found = order_of((tasks, machines, []), "elsewhere")
    busy: list[tuple[Fraction, Fraction, int]] = []
    now = Fraction(0)
    for phase in ("take_down", "rough_cut", "trench_and_pad", "cap", "grade"):
        by_hand = sum((Fraction(t.hours) for t in tasks if t.task == phase), Fraction(0))
        use = next((m for m in machines if m.phase == phase), None)
        runs = Fraction(use.hours) / 6 if use else Fraction(0)
        drives = Fraction(use.hours) if use and use.operator else Fraction(0)
        together = (by_hand + drives) / 16
        if not drives or together >= runs:
            busy.append((now, now + together, 2))
        else:
            alone = min(by_hand / 8, runs)
            busy += [(now, now + alone, 2), (now + alone, now + runs, 1)]
        now += max(together, runs)
    people = []
    for half in range(int(now * 2) + 1):
        begin, end = Fraction(half, 2), Fraction(half + 1, 2)
        here = [many for first, last, many in busy if first < last and first < end and last > begin]
        people.append(max(here, default=0))
    assert found.labor.crew_days == Decimal(sum(1 for many in people if many)) / 2
    assert sum(time.paid_hours for time in found.labor.crews) == sum(people) * 4
