"""Labor of rates as it is timed, with every machine that fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.core.job.measured import Measured
from service.core.job.rates import Rates
from service.core.labor.earth_measure import NO_EARTH
from service.core.labor.fit import NO_LIMITS, SiteLimits
from service.core.labor.hours import Labor, TaskHours
from service.core.labor.labor import labor_of, task_timing, time_work
from service.core.labor.machine_time import hold_machines
from service.core.measure import UnitSet
from service.core.shares import Shares
from service.core.takeoff.quantities import Quantities


def schedule(
    rates: Rates,
    conditions: Mapping[str, str],
    quantities: Quantities,
    units: UnitSet,
    *,
    measured: Mapping[Measured, Shares] = NO_EARTH,
    limits: SiteLimits = NO_LIMITS,
    other: Sequence[TaskHours] = (),
) -> Labor:
    """Hours of every task, days of every crew and time of every machine, nobody chosen."""
    timing = task_timing(rates, conditions, quantities, units, measured=measured, limits=limits)
    work = time_work(timing, timing.limits, other)
    return labor_of(work, rates, {}, hold_machines(work.machine_tasks, rates, {}))
