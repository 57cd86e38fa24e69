"""Half days of a crew: how much of each day is left for the work, and when daily hours are done."""

from __future__ import annotations

from decimal import Decimal

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.rates import CrewDay
from service.core.rounding import Exact


def half_days(day: CrewDay, work: Exact) -> Decimal:
    """The fewest half days that hold the work and the daily hours of every day begun."""
    return half_days_until(day, Fraction(work) / day.free) if work else Decimal(0)


def half_days_until(day: CrewDay, finish: Fraction) -> Decimal:
    """The half days from the start of the job to `finish`, in working days of the order of work:
    on the day on which it falls the daily hours are done as well."""
    whole, part = _within_day(finish)
    if not part:
        return rounding.half_days_up(whole)
    return rounding.half_days_up(whole + (part * day.free + day.daily) / day.worked)


def half_day_of(day: CrewDay, start: Fraction) -> int:
    """The half day, counted from 0, in which work begins at `start`: as early on its day as daily
    hours that are all still to come let it."""
    whole, part = _within_day(start)
    return rounding.half_day_number(whole + part * day.free / day.worked)


def _within_day(time: Fraction) -> tuple[Fraction, Fraction]:
    """Whole days before a time, and the part of the next one."""
    whole = Fraction(rounding.day_number(time) - 1)
    return whole, time - whole
