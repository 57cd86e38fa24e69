"""Production rates on measured quantities: hours per task, then days per crew and machine as they
are held over the order of work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.access import Access
from service.core.job.measured import Measured
from service.core.job.rates import Rates
from service.core.labor import crew_time
from service.core.labor.access import measure_access
from service.core.labor.compaction import measure_machine_backfill
from service.core.labor.condition import choices_in_force, condition_factors
from service.core.labor.crew_stay import CrewStay
from service.core.labor.earth_measure import NO_EARTH
from service.core.labor.fit import NO_LIMITS, SiteLimits, misfit
from service.core.labor.hours import Labor, TaskHours, TimedWork, done_by
from service.core.labor.machine_choice import choose_tasks
from service.core.labor.machine_time import HeldMachine, machine_time, operator_hours
from service.core.labor.pallets import why_broken
from service.core.labor.phase_work import is_daily
from service.core.labor.spread import sum_of
from service.core.labor.task_timing import TaskTiming
from service.core.measure import UnitSet
from service.core.money import total_of
from service.core.shares import Shares
from service.core.takeoff.quantities import Quantities


def task_timing(
    rates: Rates,
    conditions: Mapping[str, str],
    quantities: Quantities,
    units: UnitSet,
    *,
    measured: Mapping[Measured, Shares] = NO_EARTH,
    limits: SiteLimits = NO_LIMITS,
    follows: frozenset[str] = frozenset(),
) -> TaskTiming:
    """What the hours of all tasks are worked out from, before anybody chose who does them.

    `measured` is what the earthwork comes to (earth_measure.py), `limits` the way to the wall, what
    units and pallets weigh, and the kind of soil that is placed; `follows` are the conditions whose
    choice follows from the machines that come. Where `conditions` names none the neutral one holds.
    Raises QuoteFaultsError for conditions that the rates don't know.
    """
    return TaskTiming(
        rates=rates,
        factors=condition_factors(rates, conditions, limits.lifted),
        measures=_measures(quantities, measured, limits.access),
        limits=replace(
            limits,
            unit_kg=_heaviest_unit_kg(quantities),
            choices=choices_in_force(rates, conditions),
        ),
        units=units,
        follows=follows,
    )


def time_work(timing: TaskTiming, limits: SiteLimits, other: Sequence[TaskHours]) -> TimedWork:
    """The work of what was timed, with the machines that `limits` leave.

    Task hours = measured net quantity x hours per unit x the factors of its conditions and of the
    way, half up to 0.01 h; a task of quantity 0 is left out. Fixed hours that come once per job
    are among them. `other` is work of the crews and machines that was timed elsewhere, such as site
    work: it fills the same days. Raises QuoteFaultsError for machines that don't fit and have
    nothing in their place, and where the daily hours fill the whole day.
    """
    rates, units = timing.rates, timing.units
    chosen = choose_tasks(rates, limits, lambda name: timing.amount(name) > 0, units)
    _refuse((*chosen.faults, *_other_misfits(rates, other, limits, units)))
    once = [crew_time.once_hours(fixed) for fixed in rates.fixed if fixed.per == "job"]
    found = (*map(timing.machine_hours, chosen.machine_tasks), *done_by("machine", other))
    machine_work = tuple(hours for hours in found if hours)
    pallets = why_broken(rates, limits, units)
    by_crew = (timing.crew_hours(task, pallets) for task in chosen.tasks)
    operators = operator_hours(rates, machine_work)
    work = (*filter(None, by_crew), *operators, *done_by("crew", other), *once)
    _refuse(crew_time.day_faults(rates, work))
    return TimedWork(tasks=work, machine_tasks=machine_work, replaced=chosen.replaced)


def labor_of(
    timed: TimedWork,
    rates: Rates,
    stays: Mapping[str, CrewStay],
    machines: Sequence[HeldMachine],
) -> Labor:
    """The labor of work with crews and machines held over its order: their days, and the daily
    hours of every day on which crews come, are those of the order (rule 19.2); of a crew without a
    stay they are the fewest that hold its hours. Sums come with their ranges."""
    work = [task for task in timed.tasks if not is_daily(task)]
    times = [
        crew_time.time_of(
            crew,
            tuple(task for task in work if task.who == crew.id),
            rates,
            stays.get(crew.id),
        )
        for crew in rates.crews
    ]
    tasks = (*work, *(task for _, daily in times for task in daily))
    crews = tuple(crew for crew, _ in times if crew.days)
    total = sum_of(tasks, rates.common_share)
    return Labor(
        tasks=tasks,
        crews=crews,
        labor_hours=total.hours,
        labor_hours_low=total.low,
        labor_hours_high=total.high,
        crew_days=total_of(crew.days for crew in crews),
        wage_currency=rates.currency,
        machine_tasks=timed.machine_tasks,
        equipment=tuple(
            machine_time(held, timed.machine_tasks, rates.common_share) for held in machines
        ),
        replaced=timed.replaced,
    )


def _refuse(faults: Sequence[Fault]) -> None:
    """Stop where there is a fault."""
    if faults:
        raise QuoteFaultsError(faults)


def _measures(
    quantities: Quantities, earth: Mapping[Measured, Shares], access: Access | None
) -> Mapping[Measured, Shares]:
    """Everything that work is measured by: takeoff, earthwork, the way, backfill by machine."""
    measured = {**quantities.measured, **earth}
    return {
        **measured,
        **measure_access(access, measured),
        **measure_machine_backfill(measured),
    }


def _heaviest_unit_kg(quantities: Quantities) -> float | None:
    """The weight of the heaviest wall unit, where weights are known."""
    weights = [
        line.weight_kg / float(line.order)
        for line in quantities.lines
        if line.group == "units" and line.weight_kg is not None and line.order
    ]
    return max(weights, default=None)


def _other_misfits(
    rates: Rates, other: Sequence[TaskHours], limits: SiteLimits, units: UnitSet
) -> tuple[Fault, ...]:
    """Machines of other work that don't come to the wall."""
    names = dict.fromkeys(task.who for task in done_by("machine", other))
    misfits = ((name, misfit(rates.machines[name], None, limits, units)) for name in names)
    return tuple(
        Fault(
            code=reason.code,
            at=reason.at,
            message=f"{reason.why}, and site work needs it",
            hint="site work that is done by hand, or rates with a smaller machine",
        )
        for _, reason in misfits
        if reason
    )
