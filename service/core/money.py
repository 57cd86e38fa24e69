"""Exact money: adding up, spreading a rounded total over lines, splitting a line over walls.

Amounts are Decimals with the currency's places, shares are Decimals or Fractions. A binary float
enters only as the net amount of a wall, and there as the nine digits that an answer would show.
"""

from __future__ import annotations

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
    fractions = [Fraction(weight) for weight in weights]
    if not any(fractions):
        fractions[:1] = [Fraction(1)] * len(fractions[:1])
    whole = sum(fractions, Fraction(0))
    exact = [Fraction(total) * fraction / whole for fraction in fractions]
    cut = [rounding.minor_unit_down(share, places) for share in exact]
    unit = Decimal(1).scaleb(-places)
    left = rounding.minor_units(EXACT.subtract(total, total_of(cut)), places) if cut else 0
    odd = sorted(range(len(cut)), key=lambda i: (Fraction(cut[i]) - exact[i], i))[:left]
    return tuple(
        SpreadPart(exact=exact[i], amount=EXACT.add(amount, unit), odd=unit)
        if i in odd
        else SpreadPart(exact=exact[i], amount=amount, odd=None)
        for i, amount in enumerate(cut)
    )


def split(amount: Decimal, shares: Shares, places: int) -> tuple[tuple[str, Decimal], ...]:
    """Split one line's price over walls by their net amounts, ties to the name that sorts first.

    Nets that differ by float noise alone are equal, so that a tie stays one for a wall that lies
    higher or is drawn in two parts. The answer is sorted by name, whatever the order of `shares`;
    it is empty where no wall has a share, and adds up to `amount` otherwise.
    """
    held = sorted((name, net) for name, net in shares if net > 0)
    parts = spread(amount, [Decimal(number(net)) for _, net in held], places)
    return tuple((name, part.amount) for (name, _), part in zip(held, parts, strict=True))


def plain(value: Exact) -> str:
    """A figure for the arithmetic in words: exact, or `about` and twelve digits."""
    exact = Fraction(value)
    numerator, denominator = Decimal(exact.numerator), Decimal(exact.denominator)
    quotient = EXACTLY_SHOWN.divide(numerator, denominator)
    if Fraction(quotient) == exact:
        return number(quotient)
    return f"about {number(SHOWN.divide(numerator, denominator))}"


def hour_cost(wage: Decimal, burden: Decimal) -> tuple[Fraction, Decimal]:
    """Cost of a paid hour, wage x (1 + burden): exactly, and to six places, half up."""
    exact = Fraction(wage) * (1 + Fraction(burden))
    return exact, Decimal(number(rounding.unit_cost(exact)))


def counted(count: Exact | int, word: str) -> str:
    """A count with its word: `1 day`, `0.5 days`, `0 quotes`; the plural is the regular one."""
    several = "es" if word.endswith(("ch", "sh", "s", "x")) else "s"
    return f"{plain(Fraction(count))} {word}{'' if Fraction(count) == 1 else several}"


def percent(share: Exact) -> str:
    """A ratio as a percentage: `12.5 %`."""
    return f"{plain(Fraction(share) * 100)} %"


def result(exact: Exact, rounded: Decimal) -> str:
    """The right side of an equation: `= 12.34`, or the exact figure and what it is rounded to."""
    if Fraction(exact) == Fraction(rounded):
        return f"= {rounded:f}"
    return f"= {plain(exact)}, rounded to {rounded:f}"
