"""The last day to cancel a contract signed at home."""

from __future__ import annotations

from datetime import date

import pytest

from service.core.job.terms import ContractRules
from service.operations.paper.last_day import last_day_to_cancel

# Worked by hand with the federal holidays of 5 U.S.C. 6103, Saturday a business day, the day on
# which a holiday is observed no holiday (16 CFR 429.0(f) lists the holidays themselves).
SIGNED = {
    "2026-11-23": "2026-11-27",
    "2026-11-25": "2026-11-30",
    "2026-07-01": "2026-07-06",
    "2026-12-23": "2026-12-28",
    "2026-12-31": "2027-01-05",
    "2027-05-27": "2027-06-01",
}


@pytest.mark.parametrize(("signed", "last"), SIGNED.items())
def test_last_day_is_the_third_business_day(signed: str, last: str) -> None:
    """Sundays and federal holidays don't count, Saturdays do."""
    rules = ContractRules(cancel_days=3, saturday_counts=True, observed_holidays=False)
    assert last_day_to_cancel(date.fromisoformat(signed), rules) == date.fromisoformat(last)


def test_last_day_is_the_later_one_where_rules_differ() -> None:
    """Signed on Wednesday, 1 July 2026: the 3rd is the day on which the 4th is observed, and the
    4th is a Saturday; read either way, the later day counts."""
    signed = date(2026, 7, 1)
    either = ContractRules(cancel_days=3, saturday_counts=True)
    assert last_day_to_cancel(signed, either) == date(2026, 7, 7)
    assert last_day_to_cancel(signed, ContractRules(cancel_days=3)) == date(2026, 7, 7)


def test_last_day_counts_no_saturday_where_the_place_says_so() -> None:
    """Signed on a Thursday: Friday, Monday, Tuesday."""
    rules = ContractRules(cancel_days=3, saturday_counts=False)
    assert last_day_to_cancel(date(2026, 9, 10), rules) == date(2026, 9, 15)


def test_last_day_is_none_where_the_place_gives_none() -> None:
    """No rule, no day."""
    assert last_day_to_cancel(date(2026, 5, 4), ContractRules()) is None
