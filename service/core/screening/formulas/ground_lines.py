"""Lines of the ground behind a wall, as slices: where two meet, which is lower, loads on them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from service.core.rounding import CLOSE_M
from service.core.screening.formulas.wedge_slice import WedgeSlice

GroundLines = Sequence[WedgeSlice]


def level_at(lines: GroundLines, x_m: float) -> float:
    """Level of the line over an offset; beyond its ends that of its ends."""
    for line in lines:
        if x_m <= line.to_m:
            return line.at(max(x_m, line.from_m))
    return lines[-1].at(lines[-1].to_m)


def broken_line(level_m: float, slopes: Sequence[tuple[float, float]]) -> list[WedgeSlice]:
    """A line that begins at a level; `slopes` are offsets from which a slope holds, rising."""
    ends = [*(start for start, _ in slopes[1:]), math.inf]
    found = []
    for (start, slope), end in zip(slopes, ends, strict=True):
        if end > start:
            line = WedgeSlice(start, end, level_m, slope)
            found.append(line)
            level_m = line.at(end)
    return found


def through(points: Sequence[tuple[float, float]], last_slope: float) -> list[WedgeSlice]:
    """A line through points of rising offset, going on with a slope."""
    found = [
        WedgeSlice(a, b, level, (other - level) / (b - a))
        for (a, level), (b, other) in pairwise(points)
        if b > a
    ]
    x_m, y_m = points[-1]
    return [*found, WedgeSlice(x_m, math.inf, y_m, last_slope)]


def until_met(line: GroundLines, other: GroundLines) -> list[WedgeSlice]:
    """A line until it first meets another, and that from there on."""
    start = line[0].from_m
    gap = level_at(line, start) - level_at(other, start)
    if abs(gap) <= CLOSE_M:
        return after(other, start)
    for low, high, one, two in _together(line, other, start):
        gain = one.slope - two.slope
        here = one.at(low) - two.at(low)
        met = low - here / gain if gain else math.inf
        if low <= met <= high:
            return [*before(line, met), *after(other, met)]
    return list(line)


def lower_of(line: GroundLines, other: GroundLines) -> list[WedgeSlice]:
    """The lower of two lines, where the first one runs."""
    found = []
    for low, high, one, two in _together(line, other, line[0].from_m):
        gain = one.slope - two.slope
        here = one.at(low) - two.at(low)
        met = low - here / gain if gain else math.inf
        cuts = [low, met, high] if low < met < high else [low, high]
        for a, b in pairwise(cuts):
            middle = (a + b) / 2 if math.isfinite(b) else a + 1.0
            under = one if one.at(middle) <= two.at(middle) else two
            found.append(_part(under, a, b))
    return found


def before(lines: GroundLines, x_m: float) -> list[WedgeSlice]:
    """What lies in front of an offset."""
    return [_part(each, each.from_m, min(each.to_m, x_m)) for each in lines if each.from_m < x_m]


def after(lines: GroundLines, x_m: float) -> list[WedgeSlice]:
    """What lies behind an offset."""
    return [_part(each, max(each.from_m, x_m), each.to_m) for each in lines if each.to_m > x_m]


def weighing(lines: GroundLines, weight_n_m3: float) -> list[WedgeSlice]:
    """The same lines with ground under them."""
    return [
        WedgeSlice(each.from_m, each.to_m, each.level_m, each.slope, weight_n_m3, each.load_pa)
        for each in lines
    ]


def loaded(lines: GroundLines, from_m: float, to_m: float, load_pa: float) -> list[WedgeSlice]:
    """A load on lines between two offsets, without ground under it."""
    part = before(after(lines, from_m), to_m)
    return [
        WedgeSlice(each.from_m, each.to_m, each.level_m, each.slope, 0.0, load_pa) for each in part
    ]


def _part(line: WedgeSlice, from_m: float, to_m: float) -> WedgeSlice:
    """A line between two offsets."""
    level = line.at(from_m)
    return WedgeSlice(from_m, to_m, level, line.slope, line.weight_n_m3, line.load_pa)


def _together(
    line: GroundLines, other: GroundLines, start_m: float
) -> Iterator[tuple[float, float, WedgeSlice, WedgeSlice]]:
    """Ranges over which neither of two lines bends, with the slice of each."""
    ends = {each.to_m for each in (*line, *other)} | {each.from_m for each in (*line, *other)}
    last = line[-1].to_m
    marks = [start_m, *sorted(end for end in ends if start_m < end < last), last]
    for low, high in pairwise(marks):
        yield low, high, _span_to(line, high), _span_to(other, high)


def _span_to(lines: GroundLines, x_m: float) -> WedgeSlice:
    """The slice that leads up to an offset; beyond the last one's end that one."""
    return next((each for each in lines if each.to_m >= x_m), lines[-1])
