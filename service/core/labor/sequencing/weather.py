"""Days lost to weather, as an allowance that is stated: never a forecast.

Each working day is lost with probability p, one apart from the other. The days that pass until n
of them were worked then follow the negative binomial distribution: n / (1 - p) of them are
expected. What p is at a place and in a month is for local climate normals to say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from service.core import rounding
from service.core.fraction import Fraction
from service.core.measure import number
from service.core.money import counted, percent
from service.core.three_point import NORMAL_POINT

MEDIAN = 0.5
LIKELY = 0.8
# Points of the standard normal distribution that are not exceeded with these probabilities.
_NORMAL_POINT = {MEDIAN: 0.0, LIKELY: float(NORMAL_POINT)}
# From here on the distribution is a bell for every practical purpose, and summing it costs time.
_MOST_SUMMED = 10_000
_CLOSE = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherAllowance:
    """Working days and what becomes of them: expected, and not exceeded in one case of two
    (`median_days`) and in four of five (`likely_days`)."""

    lost_day_probability: Decimal
    working_days: Decimal
    expected_days: Decimal
    median_days: int
    likely_days: int
    how: tuple[str, ...]


def schedule_weather(working_days: Decimal, lost: Decimal) -> WeatherAllowance:
    """Allow for days lost to weather; `lost` is the probability, 0 to below 1.

    The expected days are those of the working days as they stand; the other two figures count
    whole days begun.
    """
    expected = rounding.expected_days(Fraction(working_days) / (1 - Fraction(lost)))
    begun = rounding.days_begun(working_days)
    median, likely = (days_not_exceeded(begun, float(lost), share) for share in (MEDIAN, LIKELY))
    summed = (
        f"{counted(begun, 'day')} of work within {counted(median, 'day')} in one case of two and "
        f"within {likely} in four of five, by the negative binomial distribution"
    )
    return WeatherAllowance(
        lost_day_probability=lost,
        working_days=working_days,
        expected_days=expected,
        median_days=median,
        likely_days=likely,
        how=(
            f"each day is lost to weather with a probability of {percent(lost)}: an allowance",
            (
                f"{counted(working_days, 'working day')} / (1 - {lost:f}) = "
                f"{number(expected)} expected"
            ),
            summed,
        ),
    )


def days_not_exceeded(worked: int, lost: float, share: float) -> int:
    """The fewest days within which `worked` days are worked with a probability of `share` (0.5 or
    0.8), where each is lost with probability `lost`.

    Sums the terms C(n + k - 1, k) (1 - p)^n p^k over the days k that are lost. Beyond 10,000
    expected days the normal approximation stands in, which is off by less than a day in a
    thousand there.
    """
    if worked / (1 - lost) > _MOST_SUMMED:
        mean, deviation = worked / (1 - lost), math.sqrt(worked * lost) / (1 - lost)
        return rounding.days_begun(Fraction(mean + _NORMAL_POINT[share] * deviation))
    log_term = worked * math.log1p(-lost)
    reached, days_lost = math.exp(log_term), 0
    while reached < share - _CLOSE:
        log_term += math.log(lost * (worked + days_lost) / (days_lost + 1))
        days_lost += 1
        reached += math.exp(log_term)
    return worked + days_lost
