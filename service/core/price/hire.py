"""Hire of a machine: the mix of weeks and days that costs least."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from service.core.money import total_of
from service.core.rounding import EXACT, whole_weeks


@dataclass(frozen=True, slots=True, kw_only=True)
class HireMix:
    """Weeks and single days for which a machine is hired, and what they cost."""

    weeks: int
    days: int
    cost: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekRate:
    """What a week costs and how many days of need it covers."""

    cost: Decimal
    days: int


def cheapest_hire(days: int, day_cost: Decimal, week: WeekRate | None) -> HireMix:
    """The cheapest mix of weeks and days that covers some days in a row, fewer weeks where two
    cost the same.

    Up to the whole weeks that the days hold, cost changes by the same sum with each further week:
    only none of them, all of them, and one week more (in place of odd days) can be cheapest.
    """
    if week is None:
        return _mix(0, days, day_cost, week)
    whole = whole_weeks(days, week.days)
    counts = (0, whole, whole + 1)
    mixes = [_mix(weeks, days - weeks * week.days, day_cost, week) for weeks in counts]
    return min(mixes, key=lambda mix: mix.cost)


def _mix(weeks: int, days: int, day_cost: Decimal, week: WeekRate | None) -> HireMix:
    single = max(0, days)
    costs = [EXACT.multiply(day_cost, Decimal(single))]
    if week:
        costs.append(EXACT.multiply(week.cost, Decimal(weeks)))
    return HireMix(weeks=weeks, days=single, cost=total_of(costs))
