"""Figures with low, likely and high, and what they come to, by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from service.core.three_point import (
    ThreePoint,
    deviation_of,
    low_and_high,
    one_figure,
    variance_of_sum,
)
from tests.given.machines import three


def figures(of: ThreePoint) -> tuple[str, str, str]:
    """Low, likely and high as exact ratios."""
    return str(of.low), str(of.likely), str(of.high)


def test_three_point_expects_four_times_the_likely() -> None:
    """1, 2 and 6: (1 + 8 + 6) / 6 = 2.5, and (6 - 1) / 6 for the deviation."""
    found = three("1", "2", "6")
    assert found.expected == Fraction(5, 2)
    assert found.deviation == Fraction(5, 6)
    assert (found.certain, one_figure(Decimal(3)).certain) == (False, True)


def test_one_figure_is_what_it_is() -> None:
    """3 without a range is expected to be 3, without a deviation."""
    found = one_figure(Decimal(3))
    assert figures(found) == ("3", "3", "3")
    assert found.expected == 3
    assert found.deviation == 0


def test_times_and_inverse_change_all_three() -> None:
    """1, 2 and 4 by 1.5 are 1.5, 3 and 6; one over 2, 4 and 8 are 1/8, 1/4 and 1/2."""
    assert figures(three("1", "2", "4").times(Decimal("1.5"))) == ("3/2", "3", "6")
    assert figures(three("2", "4", "8").inverse()) == ("1/8", "1/4", "1/2")
    assert figures(one_figure(Decimal(2)).times(Decimal("1.5"))) == ("3", "3", "3")


def test_variances_add_up_and_what_is_common_comes_on_top() -> None:
    """4 and 5, and a tenth of 40 squared: 4 + 5 + 16 = 25, a deviation of 5. 40 h are -/+ 0.8416
    x 5 = 4.208 h, and 1 h is not below nothing; without a variance there is no range."""
    variance = variance_of_sum([Fraction(4), Fraction(5)], Fraction(40), Decimal("0.1"))
    assert variance == 25
    assert deviation_of(variance) == 5
    ranges = [
        low_and_high(Fraction(n), by)
        for n, by in ((40, variance), (1, variance), (40, Fraction(0)))
    ]
    assert [[float(end) for end in each] for each in ranges] == [
        [35.792, 44.208],
        [0.0, 5.208],
        [40.0, 40.0],
    ]
