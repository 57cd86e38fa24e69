"""Exact money: adding up, spreading a rounded total over lines, splitting a line over walls.

Amounts are Decimals with the currency's places, shares are Decimals or Fractions. A binary float
enters only as the net amount of a wall, and there as the nine digits that an answer would show.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal

from service.core import rounding
from service.core.fraction import Fraction
from service.core.measure import number
from service.core.rounding import EXACT, Exact
from service.core.shares import Shares

EXACTLY_SHOWN = Context(prec=24)
SHOWN = Context(prec=12)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadPart:
    """What one line gets of a total: its exact share, and the amount in whole minor units.

    `odd` is the minor unit placed on it by largest remainder (contained in `amount`), or None.
    """

    exact: Fraction
    amount: Decimal
    odd: Decimal | None


def total_of(amounts: Iterable[Decimal]) -> Decimal:
    """The exact sum, whatever decimal context the caller's thread has set."""
    total = Decimal(0)
    for amount in amounts:
        total = EXACT.add(total, amount)
    return total


def spread(total: Decimal, weights: Sequence[Exact], places: int) -> tuple[SpreadPart, ...]:
    """Spread a rounded total over lines by weight, to the minor unit, by largest remainder.

    Each line gets its exact share cut to the minor unit; what is left goes, a unit each, to the
    lines with the largest remainder, ties to the earlier line. The parts add up to the total.
    Weights are not negative; where all are 0 the first line carries the total.
    """
    whole = _whole_weights(weights)
    units = rounding.minor_units(total, places)
    size = sum(whole) * 10**places
    return tuple(
        SpreadPart(
            exact=Fraction(units * weight, size),
            amount=_money(cut + odd, places),
            odd=_money(1, places) if odd else None,
        )
        for weight, (cut, odd) in zip(whole, _by_largest_remainder(units, whole), strict=True)
    )


def _whole_weights(weights: Sequence[Exact]) -> list[int]:
    """Whole numbers in the proportion of weights; the first alone counts where all are 0."""
    exact = [Fraction(weight) for weight in weights]
    common = math.lcm(*(weight.denominator for weight in exact))
    whole = [(weight * common).numerator for weight in exact]
    return whole if any(whole) else [1, *whole[1:]][: len(whole)]


def _by_largest_remainder(units: int, weights: Sequence[int]) -> list[tuple[int, bool]]:
    """Of so many units the share of each weight cut down, and whether an odd unit comes on top."""
    whole = sum(weights)
    cut = [rounding.cut_down(units * weight, whole) for weight in weights]
    left = units - sum(share for share, _ in cut)
    odd = set(sorted(range(len(cut)), key=lambda i: -cut[i][1])[:left])
    return [(share, i in odd) for i, (share, _) in enumerate(cut)]


def _money(units: int, places: int) -> Decimal:
    """So many minor units as an amount."""
    return EXACT.scaleb(Decimal(units), -places)


def split(amount: Decimal, shares: Shares, places: int) -> tuple[tuple[str, Decimal], ...]:
    """Split one line's price over walls by their net amounts, ties to the name that sorts first.

    Nets that differ by float noise alone are equal, so that a tie stays one for a wall that lies
    higher or is drawn in two parts. The answer is sorted by name, whatever the order of `shares`;
    it is empty where no wall has a share, and adds up to `amount` otherwise.
    """
    held = sorted((name, net) for name, net in shares if net > 0)
    if len(held) == 1:
        return ((held[0][0], _money(rounding.minor_units(amount, places), places)),)
    weights = _whole_weights([Decimal(number(net)) for _, net in held])
    parts = _by_largest_remainder(rounding.minor_units(amount, places), weights)
    return tuple(
        (name, _money(cut + odd, places)) for (name, _), (cut, odd) in zip(held, parts, strict=True)
    )


def plain(value: Exact | int) -> str:
    """A figure for the arithmetic in words: exact, or `about` and twelve digits."""
    if isinstance(value, Decimal) and EXACTLY_SHOWN.plus(value) == value:
        return number(value)
    ratio = value.as_integer_ratio()
    numerator, denominator = map(Decimal, ratio)
    quotient = EXACTLY_SHOWN.divide(numerator, denominator)
    if quotient.as_integer_ratio() == ratio:
        return number(quotient)
    return f"about {number(SHOWN.divide(numerator, denominator))}"


def hour_cost(wage: Decimal, burden: Decimal) -> tuple[Fraction, Decimal]:
    """Cost of a paid hour, wage x (1 + burden): exactly, and to six places, half up."""
    exact = Fraction(wage) * (1 + Fraction(burden))
    return exact, Decimal(number(rounding.unit_cost(exact)))


def counted(count: Exact | int, word: str) -> str:
    """A count with its word: `1 day`, `0.5 days`, `0 quotes`; the plural is the regular one."""
    several = "es" if word.endswith(("ch", "sh", "s", "x")) else "s"
    return f"{plain(count)} {word}{'' if count == 1 else several}"


def percent(share: Exact) -> str:
    """A ratio as a percentage: `12.5 %`."""
    return f"{plain(Fraction(share) * 100)} %"


def result(exact: Exact, rounded: Decimal) -> str:
    """The right side of an equation: `= 12.34`, or the exact figure and what it is rounded to."""
    if exact.as_integer_ratio() == rounded.as_integer_ratio():
        return f"= {rounded:f}"
    return f"= {plain(exact)}, rounded to {rounded:f}"
