"""The order of work as production rates have it: phases of their tasks, uses of their machines."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from service.core.job.phase import Phase
from service.core.job.rates import Rates
from service.core.labor.hours import TimedWork
from service.core.labor.phase_work import MachineUse, phase_of

_NONE: Mapping[str, Phase] = MappingProxyType({})


def task_phases(rates: Rates, other: Mapping[str, Phase] = _NONE) -> Mapping[str, Phase]:
    """Phases by task id: of crews and machines, of hours that come once per job, and of work that
    was timed elsewhere (`other`, such as site work)."""
    return {
        **{task.id: task.phase for task in rates.tasks},
        **{task.id: task.phase for task in rates.machine_tasks},
        **{fixed.id: fixed.phase for fixed in rates.fixed if fixed.phase is not None},
        **other,
    }


def machine_uses(
    timed: TimedWork, rates: Rates, phases: Mapping[str, Phase]
) -> tuple[MachineUse, ...]:
    """What each machine does in which phase, in the order of the machine tasks."""
    return tuple(
        MachineUse(
            machine=work.who,
            title=rates.machines[work.who].title,
            phase=phase_of(work.task, phases),
            hours=work.hours,
            hours_per_day=rates.machines[work.who].hours_per_day,
            shares=work.shares,
            operator=rates.machines[work.who].operator,
        )
        for work in timed.machine_tasks
    )
