"""Heights over offsets, straight between marks: what two walls dig or fill in the same column.

Trapezoids of a section may stand on each other; here they are added up, sorted, none over another.
Heights are never negative; where there is no trapezoid the height is 0.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

from service.core.ground.region import SAME_M, Trapezoid

HeightRow = tuple[Trapezoid, ...]
_Pair = tuple[float, float]  # a height at both ends of an interval


def stacked(trapezoids: Sequence[Trapezoid]) -> HeightRow:
    """Heights of trapezoids that may stand on each other, added up."""
    found = []
    for a, b in _intervals(trapezoids):
        first, last = _sum(trapezoids, a, b)
        if first > SAME_M or last > SAME_M:
            found.append((a, first, b, last))
    return tuple(found)


def lesser(one: HeightRow, other: HeightRow) -> HeightRow:
    """The lesser of two heights."""
    return _combined(one, other, min)


def greater(*several: HeightRow) -> HeightRow:
    """The greatest of some heights."""
    found: HeightRow = ()
    for each in several:
        found = _combined(found, each, max) if found and each else found or each
    return found


def less(one: HeightRow, other: HeightRow) -> HeightRow:
    """How much higher one is than the other."""
    return _combined(one, other, lambda p, q: max(0.0, p - q)) if one and other else one


def moved(trapezoids: Iterable[Trapezoid], by_m: float) -> HeightRow:
    """The same farther back."""
    return tuple((a + by_m, first, b + by_m, last) for a, first, b, last in trapezoids)


def _combined(one: HeightRow, other: HeightRow, pick: Callable[[float, float], float]) -> HeightRow:
    found = []
    for a, b, p, q in _side_by_side(one, other):
        first, last = pick(p[0], q[0]), pick(p[1], q[1])
        if first > SAME_M or last > SAME_M:
            found.append((a, first, b, last))
    return tuple(found)


def _side_by_side(one: HeightRow, other: HeightRow) -> Iterator[tuple[float, float, _Pair, _Pair]]:
    """Both heights at the ends of intervals in which neither bends and they don't cross."""
    intervals = _intervals((*one, *other))
    heights = zip(intervals, _heights(one, intervals), _heights(other, intervals), strict=True)
    for (a, b), p, q in heights:
        before, after = p[0] - q[0], p[1] - q[1]
        if before * after >= 0:
            yield a, b, p, q
            continue
        share = before / (before - after)
        level = p[0] + share * (p[1] - p[0])
        middle = a + share * (b - a)
        yield a, middle, (p[0], level), (q[0], level)
        yield middle, b, (level, p[1]), (level, q[1])


def _intervals(trapezoids: Sequence[Trapezoid]) -> list[_Pair]:
    """Offsets between which no trapezoid begins or ends."""
    marks = sorted({x for a, _, b, _ in trapezoids for x in (a, b)})
    return [(a, b) for a, b in pairwise(marks) if b - a > SAME_M]


def _heights(row: Sequence[Trapezoid], intervals: Sequence[_Pair]) -> Iterator[_Pair]:
    """What of a row stands over each of some intervals, in their order, at its ends."""
    place, last = 0, len(row)
    for a, b in intervals:
        middle = (a + b) / 2
        while place < last and row[place][2] < middle:
            place += 1
        if place < last and row[place][0] <= middle:
            x1, h1, x2, h2 = row[place]
            slope = (h2 - h1) / (x2 - x1)
            yield h1 + slope * (a - x1), h1 + slope * (b - x1)
        else:
            yield 0.0, 0.0


def _sum(trapezoids: Sequence[Trapezoid], a: float, b: float) -> _Pair:
    """What stands over an interval, at its ends."""
    middle, first, last = (a + b) / 2, 0.0, 0.0
    for x1, h1, x2, h2 in trapezoids:
        if x1 <= middle <= x2:
            slope = (h2 - h1) / (x2 - x1)
            first += h1 + slope * (a - x1)
            last += h1 + slope * (b - x1)
    return first, last
