"""Hire: the cheapest mix of weeks and days, against every mix there is."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from service.core.price.hire import WeekRate, cheapest_hire


def test_cheapest_hire_takes_days_where_there_is_no_week() -> None:
    """Three days at 285 are 855."""
    mix = cheapest_hire(3, Decimal(285), None)
    assert (mix.weeks, mix.days, mix.cost) == (0, 3, Decimal(855))


def test_cheapest_hire_takes_a_week_in_place_of_four_days() -> None:
    """Four days at 285 are 1,140, a week is 980; three days at 855 stay days."""
    week = WeekRate(cost=Decimal(980), days=5)
    assert cheapest_hire(4, Decimal(285), week).weeks == 1
    assert cheapest_hire(3, Decimal(285), week).weeks == 0


def test_cheapest_hire_adds_days_to_a_week() -> None:
    """Seven days: a week and two days are 1,550, two weeks 1,960, seven days 1,995."""
    mix = cheapest_hire(7, Decimal(285), WeekRate(cost=Decimal(980), days=5))
    assert (mix.weeks, mix.days, mix.cost) == (1, 2, Decimal(1550))


def test_cheapest_hire_takes_fewer_weeks_where_two_cost_the_same() -> None:
    """Five days at 100 cost what a week does: they stay days."""
    mix = cheapest_hire(5, Decimal(100), WeekRate(cost=Decimal(500), days=5))
    assert (mix.weeks, mix.days) == (0, 5)


@given(
    days=st.integers(0, 60),
    day=st.integers(0, 500),
    week=st.integers(0, 2000),
    of=st.integers(2, 7),
)
def test_cheapest_hire_is_the_cheapest_of_all(days: int, day: int, week: int, of: int) -> None:
    """No number of weeks, with days for the rest, costs less."""
    mix = cheapest_hire(days, Decimal(day), WeekRate(cost=Decimal(week), days=of))
    every = [week * weeks + day * max(0, days - of * weeks) for weeks in range(days // of + 2)]
    assert mix.cost == min(every)
    assert mix.weeks * of + mix.days >= days
    assert mix.cost == mix.weeks * week + mix.days * day
