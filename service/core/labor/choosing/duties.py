"""What machines could do at a job, each in the ways that are possible here, the preferred first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.core.job.rates import MachineTask
from service.core.job.site_task import SiteWorkEntry
from service.core.labor.fit import misfit
from service.core.labor.hours import TaskHours
from service.core.labor.task_timing import TaskTiming


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A machine that does something, or None: by hand, or nothing is to be done; and the hours."""

    machine: str | None
    hours: TaskHours | None = None


Duty = tuple[Way, ...]


def rate_duties(timing: TaskTiming) -> Iterator[Duty]:
    """Duties of the rates: a machine task with what they name in its place, as far as it goes.
    One without a way can't be done here."""
    named = {task.otherwise for task in timing.rates.machine_tasks}
    for first in timing.rates.machine_tasks:
        if first.id not in named and timing.amount(first.measured_by) > 0:
            yield tuple(_ways(timing, first))


def _ways(timing: TaskTiming, first: MachineTask) -> Iterator[Way]:
    rates = timing.rates
    machine_tasks = {task.id: task for task in rates.machine_tasks}
    by_hand = {task.id: task for task in rates.tasks}
    task: MachineTask | None = first
    settled = False
    while task is not None:
        if not timing.amount(task.measured_by) > 0:
            yield Way(machine=None)
            return
        if misfit(rates.machines[task.machine], task, timing.limits, timing.units) is None:
            yield Way(machine=task.machine, hours=timing.machine_hours(task))
            settled = settled or _is_settled(task, timing)
        if task.otherwise in by_hand and not settled:
            yield Way(machine=None, hours=timing.crew_hours(by_hand[task.otherwise]))
        task = machine_tasks.get(task.otherwise) if task.otherwise else None


def _is_settled(task: MachineTask, timing: TaskTiming) -> bool:
    """Whether a condition in force, stated or neutral, says that a machine does a task; one that
    follows from the machines that come says nothing."""
    return bool(task.only_if) and not task.only_if.keys() & timing.follows


def site_duties(entries: Sequence[SiteWorkEntry], timing: TaskTiming) -> Iterator[Duty]:
    """Duties of site work, whose hours go by the machines that are left out (site_hours.py)."""
    rates, limits = timing.rates, timing.limits
    for task in {entry.task.id: entry.task for entry in entries}.values():
        machine = rates.machines.get(task.machine.machine) if task.machine else None
        if task.machine and machine and misfit(machine, None, limits, timing.units) is None:
            hand = (Way(machine=None),) if task.machine.by_hand else ()
            yield (Way(machine=machine.id), *hand)


def done_ways(duties: Sequence[Duty], among: frozenset[str]) -> tuple[Way, ...] | None:
    """The first way of each duty that some machines leave; None where there is none."""
    found = []
    for duty in duties:
        for way in duty:
            if way.machine is None or way.machine in among:
                found.append(way)
                break
        else:
            return None
    return tuple(found)
