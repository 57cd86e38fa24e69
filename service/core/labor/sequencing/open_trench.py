"""How much trench is open at once: rain ruins an open cut, so a wall is dug, built and backfilled
stretch by stretch (common practice)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.phase import OrderRules
from service.core.measure import UnitSet
from service.core.money import counted


@dataclass(frozen=True, slots=True, kw_only=True)
class TrenchStretches:
    """Stretches in which one wall is dug, built and backfilled: equal lengths along its plan.

    `open_days` is how long one of them stays open; `longer_than_asked` tells that it is more than
    the rules ask for, because a shorter stretch is not worth opening.
    """

    wall: str
    count: int
    length_m: float
    open_days: Fraction
    longer_than_asked: bool
    how: tuple[str, ...]


def cut_into_stretches(
    wall: str, length_m: float, days: Fraction, rules: OrderRules, units: UnitSet
) -> TrenchStretches:
    """The fewest equal stretches that can each be dug, built and backfilled in the stated time.

    `days` is what the whole wall takes from the trench to its backfill, more than 0.
    """
    allowed = Fraction(rules.open_trench_days)
    needed = rounding.days_begun(days / allowed)
    possible = rounding.whole_stretches(length_m, rules.shortest_stretch_m)
    count = min(needed, possible)
    return TrenchStretches(
        wall=wall,
        count=count,
        length_m=length_m / count,
        open_days=days / count,
        longer_than_asked=count < needed,
        how=tuple(_how(wall, length_m, days, rules, (needed, count), units)),
    )


def _how(
    wall: str,
    length_m: float,
    days: Fraction,
    rules: OrderRules,
    counts: tuple[int, int],
    units: UnitSet,
) -> Iterator[str]:
    needed, count = counts
    yield (
        f"{wall}: trench to backfill takes {counted(days, 'day')}; a trench stays open "
        f"{counted(rules.open_trench_days, 'day')} at most: {counted(needed, 'stretch')}"
    )
    if count < needed:
        shortest = units.show(rules.shortest_stretch_m, "length")
        yield f"{wall}: no stretch is shorter than {shortest}: {count}"
    whole, one = (units.show(value, "length") for value in (length_m, length_m / count))
    yield f"{wall}: {whole} / {count} = {one} open at once, for {counted(days / count, 'day')}"
