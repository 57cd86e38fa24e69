"""Which tasks are done here: machines where they fit, else what the rates name in their place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from service.core.errors import Fault
from service.core.job.measured import Measured
from service.core.job.rates import MachineTask, ProductionTask, Rates
from service.core.labor.fit import Misfit, SiteLimits, misfit
from service.core.labor.hours import Replaced
from service.core.measure import UnitSet


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The tasks that are done, in the order of the rates, what was replaced, and machines that
    fit nowhere and have no task in their place."""

    tasks: tuple[ProductionTask, ...]
    machine_tasks: tuple[MachineTask, ...]
    replaced: tuple[Replaced, ...]
    faults: tuple[Fault, ...]


def choose_tasks(
    rates: Rates, limits: SiteLimits, needed: Callable[[Measured], bool], units: UnitSet
) -> Chosen:
    """Choose between machines and what takes their place; `needed` says whether there is anything
    of a measured quantity.

    A task that another one names in its place is done only where that one can't be, and once.
    """
    by_id = {task.id: task for task in rates.machine_tasks}
    named = [task.otherwise for task in rates.machine_tasks if task.otherwise]
    done = [task.id for task in rates.tasks if task.id not in named]
    replaced: dict[str, Replaced] = {}
    faults: dict[str, Fault] = {}
    for first in rates.machine_tasks:
        task: MachineTask | None = first if first.id not in named else None
        while task is not None and needed(task.measured_by):
            reason = misfit(rates.machines[task.machine], task, limits, units)
            if reason is None:
                done.append(task.id)
                break
            if task.otherwise is None:
                faults[task.id] = _fault(task, reason)
                break
            replaced[task.id] = _replaced(task, reason, task.otherwise)
            if task.otherwise not in by_id:
                done.append(task.otherwise)
            task = by_id.get(task.otherwise)
    return Chosen(
        tasks=tuple(task for task in rates.tasks if task.id in done),
        machine_tasks=tuple(task for task in rates.machine_tasks if task.id in done),
        replaced=tuple(replaced.values()),
        faults=tuple(faults.values()),
    )


def _replaced(task: MachineTask, reason: Misfit, by: str) -> Replaced:
    return Replaced(task=task.id, machine=task.machine, code=reason.code, why=reason.why, by=by)


def _fault(task: MachineTask, reason: Misfit) -> Fault:
    return Fault(
        code=reason.code,
        at=reason.at,
        message=f"{reason.why}, and the rates name nothing in place of {task.id!r}",
        hint="a task of a crew or of another machine in its `otherwise`",
    )
