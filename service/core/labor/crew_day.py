"""What a day of a crew holds, as exact hours."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.rates import Crew, FixedHours


def worked_hours(crew: Crew) -> Fraction:
    """Person-hours that a crew works on one day."""
    return crew.size * Fraction(crew.paid_hours_per_day) * Fraction(crew.worked_share)


def daily_tasks(crew: Crew, fixed: Sequence[FixedHours]) -> tuple[FixedHours, ...]:
    """What a crew does on every day begun."""
    return tuple(task for task in fixed if task.per == "day" and task.crew == crew.id)


def daily_hours(crew: Crew, fixed: Sequence[FixedHours]) -> Fraction:
    """Person-hours that every day begun takes before any work is done."""
    return sum((Fraction(task.hours) for task in daily_tasks(crew, fixed)), Fraction(0))


def free_hours(crew: Crew, fixed: Sequence[FixedHours]) -> Fraction:
    """Person-hours of one day that are left for the work; more than 0, or there is no schedule."""
    return worked_hours(crew) - daily_hours(crew, fixed)


def half_days(crew: Crew, fixed: Sequence[FixedHours], work: Fraction) -> Decimal:
    """The fewest half days that hold the work and the daily hours of every day begun."""
    return half_days_until(crew, fixed, work / free_hours(crew, fixed)) if work else Decimal(0)


def half_days_until(crew: Crew, fixed: Sequence[FixedHours], finish: Fraction) -> Decimal:
    """The half days from the start of the job to `finish`, in working days of the order of work:
    on the day on which it falls the daily hours are done as well."""
    whole, part = _within_day(finish)
    if not part:
        return rounding.half_days_up(whole)
    last = part * free_hours(crew, fixed) + daily_hours(crew, fixed)
    return rounding.half_days_up(whole + last / worked_hours(crew))


def half_day_of(crew: Crew, fixed: Sequence[FixedHours], start: Fraction) -> int:
    """The half day, counted from 0, in which work begins at `start`: as early on its day as daily
    hours that are all still to come let it."""
    whole, part = _within_day(start)
    return rounding.half_day_number(whole + part * free_hours(crew, fixed) / worked_hours(crew))


def _within_day(time: Fraction) -> tuple[Fraction, Fraction]:
    """Whole days before a time, and the part of the next one."""
    whole = Fraction(rounding.day_number(time) - 1)
    return whole, time - whole
