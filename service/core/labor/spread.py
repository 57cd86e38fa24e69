"""The range of hours that are added up (rule 18.3): what each task may be off by itself, and what
all tasks of a job are off together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.fact import Assumption
from service.core.job.rates import Rates
from service.core.labor.hours import TaskHours
from service.core.money import plain, total_of
from service.core.three_point import NORMAL_POINT, deviation_of, low_and_high, variance_of_sum


@dataclass(frozen=True, slots=True, kw_only=True)
class SumOfHours:
    """Hours of several tasks: expected, the points of their range, and the variance of both."""

    hours: Decimal
    low: Decimal
    high: Decimal
    variance: Fraction


def sum_of(work: Sequence[TaskHours], common_share: Decimal) -> SumOfHours:
    """Hours of a sum that is shown, from its tasks and never from other sums: expected hours and
    variances add up, and `common_share` x the sum is the deviation of what the tasks have in
    common. It holds for a sum over one task too."""
    hours = total_of(task.hours for task in work)
    variance = variance_of_sum((task.variance for task in work), hours, common_share)
    low, high = (rounding.hours(point) for point in low_and_high(hours, variance))
    return SumOfHours(hours=hours, low=low, high=high, variance=variance)


def range_of_sum(total: SumOfHours, common_share: Decimal) -> Iterator[str]:
    """The range of a sum in words; none where nothing varies."""
    if total.variance:
        common = Fraction(common_share) * Fraction(total.hours)
        own = total.variance - common**2
        yield (
            f"deviation: {plain(deviation_of(own))} h of its tasks, {plain(common_share)} x "
            f"{plain(total.hours)} h in common, root of the squares' sum "
            f"{plain(deviation_of(total.variance))} h; -/+ {NORMAL_POINT} x the deviation: "
            f"{plain(total.low)} to {plain(total.high)} h"
        )


def spread_assumptions(rates: Rates | None) -> Iterator[Assumption]:
    """How far the hours of a sum are off together, or that the rates don't say it."""
    if rates is None:
        return
    if rates.spread:
        why = f"hours of one job are off together by that share of their sum: {rates.spread.source}"
    else:
        why = (
            "the rates don't say how far hours are off together: a sum has its tasks' spread alone"
        )
    yield Assumption(field="/rates/spread/share", value=plain(rates.common_share), why=why)
