"""What a day of a crew holds, as exact hours."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core import rounding
from service.core.job.rates import Crew, FixedHours
from service.core.money import total_of
from service.core.rounding import EXACT


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
    whole = Fraction(math.floor(finish))
    if finish == whole:
        return rounding.half_days_up(whole)
    last = (finish - whole) * free_hours(crew, fixed) + daily_hours(crew, fixed)
    return rounding.half_days_up(whole + last / worked_hours(crew))


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewStay:
    """Half days of the order of work from which and to which a crew is there, counted from 0."""

    start: Decimal
    finish: Decimal

    @property
    def days(self) -> Decimal:
        """Half days for which it is there, and paid."""
        return total_of((self.finish, -self.start))

    @property
    def begun(self) -> int:
        """Days on which it comes."""
        return rounding.days_begun(self.finish) - math.floor(self.start)


def stay_of(crew: Crew, fixed: Sequence[FixedHours], start: Fraction, finish: Fraction) -> CrewStay:
    """From the half day in which its work begins to that in which it ends; a crew with daily
    hours comes in the morning."""
    steps = 1 if daily_tasks(crew, fixed) else 2
    return CrewStay(
        start=EXACT.divide(Decimal(math.floor(start * steps)), Decimal(steps)),
        finish=half_days_until(crew, fixed, finish),
    )
