"""What a day of a crew holds, as exact hours."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from service.core import rounding
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
    if not work:
        return Decimal(0)
    begun = rounding.days_begun(work / free_hours(crew, fixed))
    return rounding.half_days_up((work + daily_hours(crew, fixed) * begun) / worked_hours(crew))
