"""Factors that bring quoted hours to those of finished jobs (rule 18.11).

A task whose hours were noted takes the ratio of the sums, actual over quoted. Jobs of which only
the total is known give one factor for all other tasks: least squares of the relative errors, so
that a large job doesn't drown the small ones. With k the share of a job's actual hours that tasks
with factors of their own explain, and r the quoted rest over the actual hours, the sum of
(k + f r - 1)^2 is least at f = sum of r (1 - k) / sum of r^2.

More hours begin more days, and each day has hours of its own. So the jobs are quoted again with the
factors, fitted again, and the factors multiplied (`refined`).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.own_hours import OwnHours, TimedRow, rows_of
from service.core.job.rates import FixedHours, Rates
from service.core.money import total_of
from service.core.three_point import ThreePoint, one_figure

OWN_HOURS_STEP = Decimal("0.000001")  # as many places as a request takes

Hours = Mapping[str, Decimal]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHours:
    """Quoted person-hours of one job by task, and the actual ones: by task, or their total."""

    quoted: Hours
    actual: Hours | Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskFactor:
    """One task over all jobs. `actual` is None where only totals are known; `factor` is None where
    nothing was quoted, or where the jobs give none above 0."""

    task: str
    quoted: Decimal
    actual: Decimal | None
    factor: Fraction | None


def fit_factors(jobs: Sequence[JobHours]) -> tuple[TaskFactor, ...]:
    """The factor of every task that was quoted or noted, in the order of first appearance."""
    noted = _noted(jobs)
    own = {task: actual / quoted for task, (quoted, actual) in noted.items() if quoted and actual}
    shared = _shared(jobs, own)
    totalled = {task for job in jobs if isinstance(job.actual, Decimal) for task in job.quoted}
    return tuple(
        TaskFactor(
            task=task,
            quoted=_decimal(noted[task][0]) if task in noted else _quoted(jobs, task),
            actual=_decimal(noted[task][1]) if task in noted else None,
            factor=own.get(task, shared if task in totalled and task not in noted else None),
        )
        for task in _tasks(jobs)
    )


def refined(
    factors: Sequence[TaskFactor], further: Sequence[TaskFactor], taken: Collection[str]
) -> tuple[TaskFactor, ...]:
    """Factors times what is still missing once they are taken; only of tasks that `taken` has."""
    missing = {each.task: each.factor for each in further if each.task in taken}
    return tuple(
        replace(each, factor=each.factor * (missing.get(each.task) or 1))
        if each.factor is not None
        else each
        for each in factors
    )


def own_hours(rates: Rates, factors: Sequence[TaskFactor]) -> Mapping[str, OwnHours]:
    """The rates' own figures times the factors, to 0.000001 h, as a request may override them.

    Left out: tasks that are not of the rates, as those of site work, those without a factor, and
    machine tasks that their machine's compaction times.
    """
    rows, found = rows_of(rates), {}
    for each in factors:
        row = rows.get(each.task)
        rate = _rate(row) if row else None
        if rate and each.factor is not None:
            found[each.task] = OwnHours(hours_per_unit=_to_places(rate.times(each.factor)))
    return found


def _noted(jobs: Sequence[JobHours]) -> Mapping[str, tuple[Fraction, Fraction]]:
    """Quoted and actual sums of each noted task, over the jobs that noted it."""
    sums: dict[str, tuple[Fraction, Fraction]] = {}
    for job in jobs:
        for task, hours in job.actual.items() if isinstance(job.actual, Mapping) else ():
            quoted, actual = sums.get(task, (Fraction(0), Fraction(0)))
            of_job = Fraction(job.quoted.get(task, Decimal(0)))
            sums[task] = (quoted + of_job, actual + Fraction(hours))
    return sums


def _shared(jobs: Sequence[JobHours], own: Mapping[str, Fraction]) -> Fraction | None:
    """The factor of all tasks without one of their own, by the jobs with a total."""
    pairs = []
    for job in jobs:
        if isinstance(job.actual, Decimal) and job.actual:
            quoted = {task: Fraction(hours) for task, hours in job.quoted.items()}
            known = sum((h * own[task] for task, h in quoted.items() if task in own), Fraction(0))
            rest = sum((h for task, h in quoted.items() if task not in own), Fraction(0))
            pairs.append((rest / Fraction(job.actual), known / Fraction(job.actual)))
    squares = sum((rest * rest for rest, _ in pairs), Fraction(0))
    explained = sum((rest * (1 - known) for rest, known in pairs), Fraction(0))
    return explained / squares if squares and explained > 0 else None


def _tasks(jobs: Sequence[JobHours]) -> Sequence[str]:
    noted = [job.actual if isinstance(job.actual, Mapping) else {} for job in jobs]
    of_jobs = ((*job.quoted, *actual) for job, actual in zip(jobs, noted, strict=True))
    return tuple(dict.fromkeys(task for tasks in of_jobs for task in tasks))


def _quoted(jobs: Sequence[JobHours], task: str) -> Decimal:
    return total_of(job.quoted.get(task, Decimal(0)) for job in jobs)


def _rate(row: TimedRow) -> ThreePoint | None:
    return one_figure(row.hours) if isinstance(row, FixedHours) else row.hours_per_unit


def _to_places(figure: ThreePoint) -> ThreePoint:
    points = (figure.low, figure.likely, figure.high)
    low, likely, high = (Fraction(rounding.to_step(point, OWN_HOURS_STEP)) for point in points)
    return ThreePoint(low=low, likely=likely, high=high)


def _decimal(exact: Fraction) -> Decimal:
    return rounding.hours(exact)
