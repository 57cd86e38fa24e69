"""The last day on which a customer may cancel: business days after signing, to midnight.

Where rules differ on Saturdays or on the day on which a holiday is observed, and the place doesn't
say, the later day counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from functools import lru_cache
from itertools import product

import holidays

from service.core.job.terms import ContractRules

SATURDAY, SUNDAY = 5, 6
_COUNTRY = "US"


def last_day_to_cancel(signed_on: date, rules: ContractRules) -> date | None:
    """The last day, None where the place gives none."""
    if rules.cancel_days is None:
        return None
    days = rules.cancel_days
    return max(
        _after(signed_on, days, saturday=saturday, observed=observed)
        for saturday, observed in product(
            _readings(stated=rules.saturday_counts), _readings(stated=rules.observed_holidays)
        )
    )


def _readings(*, stated: bool | None) -> Iterable[bool]:
    return (True, False) if stated is None else (stated,)


def _after(signed_on: date, days: int, *, saturday: bool, observed: bool) -> date:
    """The day so many business days after another; with `saturday` Saturdays are some."""
    day, left = signed_on, days
    while left:
        day += timedelta(days=1)
        weekend = day.weekday() == SUNDAY or (day.weekday() == SATURDAY and not saturday)
        if not weekend and day not in _holidays(day.year, observed=observed):
            left -= 1
    return day


@lru_cache(maxsize=64)
def _holidays(year: int, *, observed: bool) -> frozenset[date]:
    """Federal holidays of a year; with `observed` the days on which they are observed too."""
    found = holidays.country_holidays(_COUNTRY, years=year, observed=observed)
    return frozenset(found)
