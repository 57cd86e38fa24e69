"""Hours of site work: one row per task of crew and of machine, over all its entries."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.factor import Factor
from service.core.job.rates import Crew, Rates
from service.core.job.site_task import SiteMachine, SiteTask, SiteWorkEntry
from service.core.labor.fit import SiteLimits, misfit
from service.core.labor.hours import TaskHours, Worker
from service.core.labor.task_time import RatedTask, time_task
from service.core.measure import UnitSet, number
from service.core.three_point import ThreePoint


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
    limits: SiteLimits,
    units: UnitSet,
) -> tuple[TaskHours, ...]:
    """Person-hours and machine-hours of every task that is asked for, in the order in which tasks
    first appear: all its entries together x hours per unit x the factors of its conditions, half
    up to 0.01 h. Whoever runs a machine is not among them: that comes with the machine's hours.

    A condition that the rates don't have changes nothing. Raises QuoteFaultsError for tasks whose
    machine the rates don't have and that nobody does by hand.
    """
    work: list[TaskHours] = []
    faults: list[Fault] = []
    for asked in _asked(entries):
        timing = _SiteTiming(asked=asked, rates=rates, factors=factors, units=units)
        try:
            work += _hours_of(timing, _lacking(asked, rates, limits, units))
        except QuoteFaultsError as error:
            faults += error.faults
    if faults:
        raise QuoteFaultsError(faults)
    return tuple(work)


def _hours_of(timing: _SiteTiming, lacking: str | None) -> list[TaskHours]:
    """Hours of a task by its crew and machine, or by hand where the machine can't do it."""
    task = timing.asked.task
    machine = task.machine if lacking else None
    if machine and machine.by_hand:
        return timing.crew(machine.by_hand, (f"{lacking}: done by hand",))
    if machine and machine.machine not in timing.rates.machines:
        raise QuoteFaultsError([_machine_missing(timing.asked, lacking or "")])
    return [*timing.crew(task.hours_per_unit, ()), *timing.machine(task.machine)]


def _asked(entries: Sequence[SiteWorkEntry]) -> tuple[_Asked, ...]:
    """Entries by task, in the order in which tasks first appear."""
    by_task: dict[str, _Asked] = {}
    for place, entry in enumerate(entries):
        by_task.setdefault(entry.task.id, _Asked(task=entry.task)).entries.append((place, entry))
    return tuple(by_task.values())


def _lacking(asked: _Asked, rates: Rates, limits: SiteLimits, units: UnitSet) -> str | None:
    """Why the task's machine can't do it, in words; None where it can, or there is none."""
    if asked.task.machine is None:
        return None
    machine = rates.machines.get(asked.task.machine.machine)
    if machine is None:
        return f"the rates have no machine {asked.task.machine.machine!r}"
    reason = misfit(machine, None, limits, units)
    return reason.why if reason else None


def _machine_missing(asked: _Asked, lacking: str) -> Fault:
    return Fault(
        code="site-work-machine-missing",
        at=("site_work", asked.entries[0][0], "task"),
        message=f"{asked.task.id}: {lacking}, and the task has no hours by hand",
        hint="a [machines.<id>] table in the rates, or by_hand in the file of the task",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _SiteTiming:
    """What the hours of one task are worked out from."""

    asked: _Asked
    rates: Rates
    factors: Mapping[str, Factor]
    units: UnitSet

    def crew(self, rate: ThreePoint | None, words: tuple[str, ...]) -> list[TaskHours]:
        """Person-hours, if the task has any."""
        crew, named = self._crew()
        return self._time(("crew", crew.id), rate, (*words, *named))

    def machine(self, machine: SiteMachine | None) -> list[TaskHours]:
        """Machine-hours, if the task has any."""
        if machine is None:
            return []
        return self._time(("machine", machine.machine), machine.hours_per_unit, ())

    def _time(
        self, worker: tuple[Worker, str], rate: ThreePoint | None, words: tuple[str, ...]
    ) -> list[TaskHours]:
        if rate is None:
            return []
        task = self.asked.task
        known = [self.factors[name] for name in task.conditions if name in self.factors]
        rated = RatedTask(
            task=task.id,
            title=task.title,
            worker=worker[0],
            who=worker[1],
            measured=task.measured_by,
            quantity=self.asked.quantity,
            dimension=task.dimension,
            unit=task.unit,
            rate=rate,
            factors=tuple(known),
        )
        hours = time_task(rated, self.units)
        if hours is None:
            return []
        return [replace(hours, told=partial(self._told, words, hours))]

    def _told(self, words: tuple[str, ...], hours: TaskHours) -> tuple[str, ...]:
        """What is asked for, who does it, the hours, and what changes nothing."""
        return (*self.asked.words, *words, *hours.how, *self._neutral())

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
