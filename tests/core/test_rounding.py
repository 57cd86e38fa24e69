"""Rounding of shares, bounds and ratios, by hand."""

from decimal import Decimal

import pytest

from service.core import rounding


@pytest.mark.parametrize(
    ("minutes", "share"), [("60", "1"), ("50", "0.833334"), ("45", "0.75"), ("0.00003", "0.000001")]
)
def test_worked_share_is_the_part_of_an_hour_rounded_up(minutes: str, share: str) -> None:
    """50 of 60 minutes are 0.8333333…, one millionth up."""
    assert rounding.worked_share(Decimal(minutes)) == Decimal(share)


@pytest.mark.parametrize(
    ("bound", "least", "most"),
    [("12.345", 1235, 1234), ("-12.345", -1234, -1235), ("12.34", 1234, 1234), ("0", 0, 0)],
)
def test_bound_in_minor_units_lies_inside_the_bound(bound: str, least: int, most: int) -> None:
    """The least whole cents that aren't below a bound, the most that aren't above it."""
    assert rounding.bound_in_minor_units(Decimal(bound), 2, up=True) == least
    assert rounding.bound_in_minor_units(Decimal(bound), 2, up=False) == most
