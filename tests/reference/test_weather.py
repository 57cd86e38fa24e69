"""Weather days against weather.toml, and against a second method."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import nbinom

from service.core.labor.sequencing.weather import (
    LIKELY,
    MEDIAN,
    days_not_exceeded,
    schedule_weather,
)

ROWS = tomllib.loads(Path(__file__).with_name("weather.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", ROWS["working_days"]["rows"], ids=lambda row: row["lost"])
def test_schedule_weather_agrees_with_the_outside_rows(row: dict[str, Any]) -> None:
    """Ten days at 20, 25 and 30 % lost: expected, one case of two, four of five."""
    found = schedule_weather(Decimal(row["days"]), Decimal(row["lost"]))
    assert found.expected_days == Decimal(row["mean"])
    assert (found.median_days, found.likely_days) == (row["median"], row["likely"])
    assert row["mean"].rstrip("0") in found.how[1]


@given(
    worked=st.integers(1, 400),
    lost=st.integers(1, 900).map(lambda thousandths: thousandths / 1000),
    share=st.sampled_from((MEDIAN, LIKELY)),
)
def test_days_not_exceeded_is_the_point_of_the_distribution(
    worked: int, lost: float, share: float
) -> None:
    """A statistics library reaches the share on that day and not, beyond noise, the day before."""
    days = days_not_exceeded(worked, lost, share) - worked
    assert nbinom.cdf(days, worked, 1 - lost) >= share - 1e-9
    assert days == 0 or nbinom.cdf(days - 1, worked, 1 - lost) < share + 1e-9


@pytest.mark.parametrize("share", [MEDIAN, LIKELY])
def test_days_not_exceeded_stays_close_where_it_is_approximated(share: float) -> None:
    """Ten thousand working days, a fifth lost: within one day in a thousand."""
    exact = 10_000 + int(nbinom.ppf(share, 10_000, 0.8))
    assert days_not_exceeded(10_000, 0.2, share) == pytest.approx(exact, rel=0.001)


@pytest.mark.parametrize(("share", "days"), [(MEDIAN, 12_000), (LIKELY, 12_093)])
def test_days_not_exceeded_is_approximated_beyond_10_000_expected_days(
    share: float, days: int
) -> None:
    """6,000 days of work, half of all lost, are expected to take 12,000, with a deviation of
    root (6,000 x 0.5) / 0.5 = 109.545: 12,000 + 0.8416 x 109.545 = 12,092.2 in four of five."""
    assert days_not_exceeded(6_000, 0.5, share) == days


@pytest.mark.parametrize(("days", "lost"), [("0", "0.20"), ("7", "0"), ("20000", "0")])
def test_schedule_weather_adds_nothing_where_nothing_is_lost(days: str, lost: str) -> None:
    """No work, or no bad weather: the days are the working days."""
    found = schedule_weather(Decimal(days), Decimal(lost))
    assert (found.expected_days, found.median_days, found.likely_days) == (
        Decimal(days),
        int(days),
        int(days),
    )


def test_schedule_weather_counts_days_begun() -> None:
    """Half a day of work at 50 % lost: 1 day expected; the one day begun takes 1 day in one case
    of two, and 3 days (0.5 + 0.25 + 0.125) in four of five."""
    found = schedule_weather(Decimal("0.5"), Decimal("0.5"))
    assert (found.expected_days, found.median_days, found.likely_days) == (Decimal(1), 1, 3)
