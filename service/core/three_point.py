"""Figures that nobody knows for sure: low, likely and high, and what they come to.

The published convention (several university and course notes on three-point estimates) is used:
expected (low + 4 x likely + high) / 6, standard deviation (high - low) / 6, some 2 to 12 % below
the exact deviation of the beta distribution behind it. Of a sum the expected values and the
variances add up, never the deviations; what all of them have in common comes on top, as a share
of the sum.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from service.core.fraction import Fraction
from service.core.rounding import EXACT, Exact

# Of a normal distribution four fifths lie below mean + 0.8416 deviations, one fifth below
# mean - 0.8416 deviations.
NORMAL_POINT = Decimal("0.8416")


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreePoint:
    """A figure with its range, low <= likely <= high, and what is expected; exact."""

    low: Fraction
    likely: Fraction
    high: Fraction
    expected: Fraction = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Work out what it comes to on average, once."""
        mean = self.likely if self.certain else (self.low + 4 * self.likely + self.high) / 6
        object.__setattr__(self, "expected", mean)

    @property
    def deviation(self) -> Fraction:
        """Its standard deviation."""
        return (self.high - self.low) / 6

    @property
    def certain(self) -> bool:
        """Whether it is one figure."""
        return self.low == self.high

    def times(self, factor: Exact) -> ThreePoint:
        """The same figure in another measure; the factor is not negative."""
        exact = Fraction(factor)
        if self.certain:
            return one_figure(self.likely * exact)
        return ThreePoint(low=self.low * exact, likely=self.likely * exact, high=self.high * exact)

    def inverse(self) -> ThreePoint:
        """One over it, all figures above 0: the lowest output takes the longest time."""
        return ThreePoint(low=1 / self.high, likely=1 / self.likely, high=1 / self.low)


def one_figure(value: Exact) -> ThreePoint:
    """A figure without a range."""
    exact = Fraction(value)
    return ThreePoint(low=exact, likely=exact, high=exact)


def low_and_high(expected: Exact, variance: Fraction) -> tuple[Fraction, Fraction]:
    """What is not reached in one case of five, and not exceeded in four of five, taking the sum
    for normally distributed, the low one not below 0; both are `expected` where there is no
    variance."""
    if not variance:
        return Fraction(expected), Fraction(expected)
    spread = Fraction(NORMAL_POINT) * deviation_of(variance)
    return max(Fraction(expected) - spread, Fraction(0)), Fraction(expected) + spread


def variance_of_sum(variances: Iterable[Fraction], total: Exact, share: Exact) -> Fraction:
    """Variance of a sum: those of its parts, and (share x the sum) squared for what the parts have
    in common, such as the crew and whoever estimated them."""
    common = Fraction(share) * Fraction(total)
    return sum(variances, Fraction(0)) + common * common


def deviation_of(variance: Fraction) -> Fraction:
    """The square root of a variance, to sixty digits."""
    numerator, denominator = Decimal(variance.numerator), Decimal(variance.denominator)
    return Fraction(EXACT.sqrt(EXACT.divide(numerator, denominator)))
