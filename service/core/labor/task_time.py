"""Hours of one piece of work: how much of it there is, at so many hours per unit, made slower or
faster by factors. Machine-hours and person-hours are worked out alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core import rounding
from service.core.job.factor import Factor
from service.core.measure import Dimension, Unit, UnitSet, in_unit, number
from service.core.money import plain
from service.core.three_point import NORMAL_POINT, ThreePoint, low_and_high


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """So much of something, in SI or counted, at `rate` hours per `unit`.

    `measured` says what is counted, `basis` where the rate comes from, both in words.
    """

    measured: str
    quantity: float
    dimension: Dimension
    unit: Unit
    rate: ThreePoint
    factors: tuple[Factor, ...] = ()
    basis: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Duration:
    """Hours of a piece of work: expected, and the points that are not reached in one case of five
    and not exceeded in four of five, to 0.01 h; `variance` is exact, in hours squared."""

    hours: Decimal
    hours_low: Decimal
    hours_high: Decimal
    variance: Fraction
    how: tuple[str, ...]


def time_work(work: Work, units: UnitSet) -> Duration | None:
    """Hours of a piece of work, half up to 0.01 h; None where there is nothing to do.

    The quantity is the figure that is shown (nine digits, in the unit of the rate), so that the
    hours can be re-added by hand and no float noise decides a half.
    """
    shown = number(in_unit(work.quantity, work.unit.symbol))
    exact = work.rate.times(Decimal(shown))
    for factor in work.factors:
        exact = exact.times(factor.factor)
    if not exact.high:
        return None
    variance = exact.deviation**2
    low, high = (rounding.hours(point) for point in low_and_high(exact.expected, variance))
    hours = rounding.hours(exact.expected)
    how = (
        f"measured by {work.measured}",
        *_conversion(work, units),
        *((work.basis,) if work.basis else ()),
        *_range_of_rate(work),
        _product(work, units, exact.expected, hours),
        *_range_of_hours(exact, low, high),
    )
    return Duration(hours=hours, hours_low=low, hours_high=high, variance=variance, how=how)


def _conversion(work: Work, units: UnitSet) -> Iterator[str]:
    """The conversion where the answer shows another unit than the rate has."""
    symbol = work.unit.symbol
    if units.unit_for(work.dimension) != symbol:
        shown = units.show(work.quantity, work.dimension)
        yield f"{shown} = {units.show(work.quantity, work.dimension, symbol)}"


def _range_of_rate(work: Work) -> Iterator[str]:
    rate = work.rate
    if not rate.certain:
        yield (
            f"h per {work.unit.symbol}: ({plain(rate.low)} low + 4 x {plain(rate.likely)} likely "
            f"+ {plain(rate.high)} high) / 6 = {plain(rate.expected)}"
        )


def _product(work: Work, units: UnitSet, exact: Fraction, hours: Decimal) -> str:
    symbol = work.unit.symbol
    quantity = units.show(work.quantity, work.dimension, symbol)
    chosen = "".join(f" x {plain(f.factor)} ({f.words})" for f in work.factors)
    product = f"{quantity} x {plain(work.rate.expected)} h per {symbol}{chosen} = {plain(exact)} h"
    return product if Fraction(hours) == exact else f"{product}, rounded to {plain(hours)} h"


def _range_of_hours(exact: ThreePoint, low: Decimal, high: Decimal) -> Iterator[str]:
    if not exact.certain:
        yield (
            f"deviation ({plain(exact.high)} high - {plain(exact.low)} low) / 6 = "
            f"{plain(exact.deviation)} h; -/+ {NORMAL_POINT} x the deviation: {plain(low)} h is "
            f"not reached in one case of five, {plain(high)} h not exceeded in four of five"
        )
