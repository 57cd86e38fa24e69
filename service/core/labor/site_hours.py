"""Hours of site work: one row per task of crew and of machine, over all its entries."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.factor import Factor
from service.core.job.rates import Crew, Rates
from service.core.job.site_task import SiteMachine, SiteTask, SiteWorkEntry
from service.core.labor.fit import Place, misfit
from service.core.labor.hours import MachineHours, TaskHours
from service.core.labor.task_time import Duration, Work, time_work
from service.core.measure import UnitSet, number
from service.core.three_point import ThreePoint


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteHours:
    """Person-hours and machine-hours of site work, in the order in which tasks first appear.
    Whoever runs a machine is not in `tasks`: that comes with the machine's hours."""

    tasks: tuple[TaskHours, ...] = ()
    machine_tasks: tuple[MachineHours, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A task with all its entries and their places in the request."""

    task: SiteTask
    entries: list[tuple[int, SiteWorkEntry]] = field(default_factory=list)

    @property
    def quantity(self) -> float:
        """All of it, in SI or counted."""
        return math.fsum(entry.quantity for _, entry in self.entries)

    @property
    def words(self) -> tuple[str, ...]:
        """What each entry asks for."""
        symbol = self.task.unit.symbol
        return tuple(
            f"site_work {place + 1}: {number(entry.amount)} {symbol}"
            + (f", {entry.note}" if entry.note else "")
            for place, entry in self.entries
        )


def time_site_work(
    entries: Sequence[SiteWorkEntry],
    rates: Rates,
    factors: Mapping[str, Factor],
    place: Place,
    units: UnitSet,
) -> SiteHours:
    """Hours of every task that is asked for: all its entries together x hours per unit x the
    factors of its conditions, half up to 0.01 h.

    A condition that the rates don't have changes nothing. Raises QuoteFaultsError for tasks whose
    machine the rates don't have and that nobody does by hand.
    """
    tasks, machine_tasks, faults = [], [], []
    for asked in _asked(entries):
        lacking = _lacking(asked, rates, place, units)
        machine = asked.task.machine
        if (
            machine
            and lacking
            and machine.by_hand is None
            and machine.machine not in rates.machines
        ):
            faults.append(_machine_missing(asked, lacking))
            continue
        timing = _Timing(asked=asked, rates=rates, factors=factors, units=units)
        by_hand = machine.by_hand if machine and lacking else None
        if by_hand:
            tasks += timing.crew(by_hand, (f"{lacking}: done by hand",))
        else:
            tasks += timing.crew(asked.task.hours_per_unit, ())
            machine_tasks += timing.machine(machine)
    if faults:
        raise QuoteFaultsError(faults)
    return SiteHours(tasks=tuple(tasks), machine_tasks=tuple(machine_tasks))


def _asked(entries: Sequence[SiteWorkEntry]) -> tuple[_Asked, ...]:
    """Entries by task, in the order in which tasks first appear."""
    found: dict[str, _Asked] = {}
    for place, entry in enumerate(entries):
        found.setdefault(entry.task.id, _Asked(task=entry.task)).entries.append((place, entry))
    return tuple(found.values())


def _lacking(asked: _Asked, rates: Rates, place: Place, units: UnitSet) -> str | None:
    """Why the task's machine can't do it, in words; None where it can, or there is none."""
    if asked.task.machine is None:
        return None
    machine = rates.machines.get(asked.task.machine.machine)
    if machine is None:
        return f"the rates have no machine {asked.task.machine.machine!r}"
    reason = misfit(machine, None, place, units)
    return reason.why if reason else None


def _machine_missing(asked: _Asked, lacking: str) -> Fault:
    return Fault(
        code="site-work-machine-missing",
        at=("site_work", asked.entries[0][0], "task"),
        message=f"{asked.task.id}: {lacking}, and the task has no hours by hand",
        hint="a [machines.<id>] table in the rates, or by_hand in the file of the task",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Timing:
    """What the hours of one task are worked out from."""

    asked: _Asked
    rates: Rates
    factors: Mapping[str, Factor]
    units: UnitSet

    def crew(self, rate: ThreePoint | None, words: tuple[str, ...]) -> list[TaskHours]:
        """Person-hours, if the task has any."""
        time = self._time(rate)
        if time is None:
            return []
        task, (crew, named) = self.asked.task, self._crew()
        return [
            TaskHours(
                task=task.id,
                title=task.title,
                crew=crew.id,
                quantity=self.asked.quantity,
                dimension=task.dimension,
                hours=time.hours,
                hours_low=time.hours_low,
                hours_high=time.hours_high,
                shares=(),
                how=(*self.asked.words, *words, *named, *time.how, *self._neutral()),
                variance=time.variance,
            )
        ]

    def machine(self, machine: SiteMachine | None) -> list[MachineHours]:
        """Machine-hours, if the task has any."""
        time = self._time(machine.hours_per_unit) if machine else None
        if machine is None or time is None:
            return []
        task = self.asked.task
        return [
            MachineHours(
                task=task.id,
                title=task.title,
                machine=machine.machine,
                quantity=self.asked.quantity,
                dimension=task.dimension,
                hours=time.hours,
                hours_low=time.hours_low,
                hours_high=time.hours_high,
                shares=(),
                how=(*self.asked.words, *time.how, *self._neutral()),
                variance=time.variance,
            )
        ]

    def _time(self, rate: ThreePoint | None) -> Duration | None:
        if rate is None:
            return None
        task = self.asked.task
        known = [self.factors[name] for name in task.conditions if name in self.factors]
        work = Work(
            measured=task.measured_by,
            quantity=self.asked.quantity,
            dimension=task.dimension,
            unit=task.unit,
            rate=rate,
            factors=tuple(known),
        )
        return time_work(work, self.units)

    def _crew(self) -> tuple[Crew, tuple[str, ...]]:
        """The crew that the task names, else the first of the rates."""
        named, first = self.asked.task.crew, self.rates.crews[0]
        for crew in self.rates.crews:
            if crew.id == named:
                return crew, ()
        if named is None:
            return first, ()
        return first, (f"the rates have no crew {named!r}: done by {first.title}",)

    def _neutral(self) -> tuple[str, ...]:
        """Conditions of the task that these rates say nothing about."""
        unknown = [name for name in self.asked.task.conditions if name not in self.factors]
        return tuple(
            f"the rates have no condition {name!r}: it changes nothing" for name in unknown
        )
