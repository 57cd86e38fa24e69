"""The largest value of a function of one number within a range where it has one top.

Parabolas through the three best points, golden sections where these lead nowhere (Brent's method).
Source: R. P. Brent, Algorithms for Minimization without Derivatives (1973), from memory; checked
against the bounded search of SciPy, which takes five times as long for each and isn't loaded by
the service.
"""

from __future__ import annotations

import math
from collections.abc import Callable

_GOLDEN = (3 - math.sqrt(5)) / 2
_WITHIN = 1e-7  # of the range: how near the top is found
_MOST_STEPS = 40

ValueAt = tuple[float, float]
"""A value and where it is."""


def peak(function: Callable[[float], float], low: float, high: float) -> ValueAt:
    """The largest value, and where it is; for a function without one top, one that was found."""
    near = _WITHIN * (high - low)
    at = low + _GOLDEN * (high - low)
    best = second = third = (function(at), at)
    step = before = 0.0
    for _ in range(_MOST_STEPS):
        middle, at = (low + high) / 2, best[1]
        if abs(at - middle) <= 2 * near - (high - low) / 2:
            break
        leap = _leap(best, second, third)
        if leap is None or abs(leap) >= abs(before) / 2 or not low < at + leap < high:
            before = (low if at >= middle else high) - at
            leap = _GOLDEN * before
        else:
            before = step
            if min(at + leap - low, high - at - leap) < 2 * near:
                leap = math.copysign(near, middle - at)
        step = leap if abs(leap) >= near else math.copysign(near, leap)
        tried = (function(at + step), at + step)
        worse = at if tried[0] >= best[0] else at + step
        low, high = (worse, high) if (step > 0) == (worse == at) else (low, worse)
        best, second, third = _ranked(tried, best, second, third)
    return best


def _leap(best: ValueAt, second: ValueAt, third: ValueAt) -> float | None:
    """How far the top of a parabola through three points lies from the best one."""
    to_second, to_third = second[1] - best[1], third[1] - best[1]
    one, other = to_second * (third[0] - best[0]), to_third * (second[0] - best[0])
    under = 2 * (other - one)
    return (other * to_third - one * to_second) / under if under else None


def _ranked(
    tried: ValueAt, best: ValueAt, second: ValueAt, third: ValueAt
) -> tuple[ValueAt, ValueAt, ValueAt]:
    """The three best points with one that was tried last; the first has been thrice the best."""
    if tried[0] >= best[0]:
        return tried, best, second
    if tried[0] >= second[0] or second == best:
        return best, tried, second
    if tried[0] >= third[0] or third in (best, second):
        return best, second, tried
    return best, second, third
