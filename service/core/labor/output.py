"""Output of machines, turned into hours per unit, with the arithmetic in words."""

from __future__ import annotations

from decimal import Decimal

from service.core.fraction import Fraction
from service.core.measure import Unit, in_unit, number
from service.core.money import plain
from service.core.three_point import ThreePoint, one_figure

SECONDS_OF_AN_HOUR = 3600


def rate_of_output(output: ThreePoint, efficiency: Fraction, unit: Unit) -> tuple[ThreePoint, str]:
    """Hours per unit from units per hour, of which only a part of the hour is worked."""
    symbol, worked = unit.symbol, output.times(efficiency)
    ranged = "" if output.certain else f" ({plain(output.low)} to {plain(output.high)})"
    words = (
        f"{plain(output.likely)} {symbol} per h{ranged} x {plain(efficiency)} worked = "
        f"{plain(worked.likely)} {symbol} per h"
    )
    return worked.inverse(), words


def rate_of_cycle(
    load_m3: float, fill: Decimal, seconds: Decimal, efficiency: Fraction, unit: Unit
) -> tuple[ThreePoint, str]:
    """Hours per unit of whatever goes to and fro with a load: a bucket, a barrow, a truck.

    Output = load x fill x 3600 / seconds x efficiency (an earthmoving handbook's formula for any
    cyclic machine): loose volume, as it lies in the bucket.
    """
    load = number(in_unit(load_m3, unit.symbol))
    output = (
        Fraction(Decimal(load)) * Fraction(fill) * SECONDS_OF_AN_HOUR / Fraction(seconds)
    ) * efficiency
    words = (
        f"{load} {unit.symbol} x {plain(fill)} full x {SECONDS_OF_AN_HOUR} s / {plain(seconds)} s "
        f"x {plain(efficiency)} worked = {plain(output)} {unit.symbol} per h"
    )
    return one_figure(1 / output), words
