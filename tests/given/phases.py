"""Small builders for the tests of the order of work: hours by phase, crews of two."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from service.core.job.phase import OrderRules, Phase
from service.core.job.rates import Crew, FixedHours, Waiting
from service.core.labor.crew_time import once_hours
from service.core.labor.hours import TaskHours, TimedWork
from service.core.labor.phase_work import MachineUse, OrderedWall
from service.core.labor.sequencing.phase_time import PhaseTime
from service.core.labor.sequencing.phases import Phases, WorkOrder, order_work, tell_phases
from service.core.measure import US
from service.core.shares import Shares
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import ONE_WALL, crew, rates
from tests.given.walls import ft

ONE = (OrderedWall(name="wall-1", length_m=ft(40)),)
# 8 + 16 + 8 + 8 + 32 + 8 + 8 h: half a day, one, half, half, two, half and half a day for two.
WHOLE_JOB: Mapping[Phase, str] = {
    "rough_cut": "8",
    "trench_and_pad": "16",
    "base_course": "8",
    "backfill_base": "8",
    "build_and_backfill": "32",
    "cap": "8",
    "clean_up": "8",
}


def hours(
    task: str, count: str, *, who: str = "crew", shares: Shares = ONE_WALL, each_day: bool = False
) -> TaskHours:
    """Person-hours of a task."""
    fixed = FixedHours(id=task, title=words(task), crew=who, hours=Decimal(count), per="job")
    return replace(
        once_hours(fixed), shares=shares, dimension="day" if each_day else "count", told=tuple
    )


def words(name: str) -> str:
    """An id as its title."""
    return name.replace("_", " ")


def rules(lost: str = "0.20", open_days: str = "2", shortest: float = ft(8)) -> OrderRules:
    """A fifth of the days lost, a trench open for two days, stretches of at least 8 ft."""
    return OrderRules(
        lost_day_probability=Decimal(lost),
        open_trench_days=Decimal(open_days),
        shortest_stretch_m=shortest,
        source="invented",
    )


def ordered(
    *tasks: TaskHours,
    phases: Mapping[str, Phase] | None = None,
    walls: Sequence[OrderedWall] = ONE,
    lines: Sequence[QuantityLine] = (),
    item_phases: Mapping[str, Phase] | None = None,
    machines: Sequence[MachineUse] = (),
    crews: Sequence[Crew] = (crew(),),
    fixed: Sequence[FixedHours] = (),
    by: OrderRules | None = None,
    waiting: Waiting = "paid",
) -> Phases:
    """The order of work of some tasks; a task named like a phase stands in it."""
    order = WorkOrder(
        walls=tuple(walls),
        task_phases={t.task: t.task for t in tasks} if phases is None else phases,  # type: ignore[misc]
        item_phases=item_phases or {},
        machines=tuple(machines),
        rules=by,
    )
    whole = replace(rates(crews=crews, fixed=fixed), waiting=waiting)
    return tell_phases(order_work(TimedWork(tasks=tasks), whole, order, US), whole, lines)


def whole_job(by: OrderRules | None = None) -> Phases:
    """One wall of 40 ft, from the rough cut to the clean-up."""
    return ordered(*(hours(phase, count) for phase, count in WHOLE_JOB.items()), by=by)


def days(phases: Phases) -> dict[str, tuple[int, int]]:
    """First and last day of every phase."""
    return {each.phase: (each.start_day, each.finish_day) for each in phases.phases}


def time_of(phases: Phases, phase: Phase) -> PhaseTime:
    """The one entry of a phase."""
    (found,) = (each for each in phases.phases if each.phase == phase)
    return found
