"""Areas between lines of a cross-section: x is the offset toward the soil, z the level.

Every line is straight or straight between points, so that an area is a row of trapezoids: heights
that are linear over offsets. Areas and first moments follow in closed form.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from service.core.quadrature import GAUSS
from service.core.rounding import CLOSE_M

Trapezoid = tuple[float, float, float, float]  # offset and height, offset and height

# Levels closer than this are one: far above the noise of floats, far below what is measured.
SAME_M = 1e-9
FEWEST_LINES = 2  # one above, one below


class GroundShortError(Exception):
    """Ground was asked for at `offset_m`, beyond the last pair of a surveyed section."""

    def __init__(self, offset_m: float) -> None:
        self.offset_m = offset_m
        super().__init__(f"no ground at {offset_m} m")


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line through (x_m, z_m), `slope` as rise over run."""

    x_m: float
    z_m: float
    slope: float = 0.0

    def at(self, x_m: float) -> float:
        """Level at an offset."""
        return self.z_m + self.slope * (x_m - self.x_m)

    def lowered(self, depth_m: float) -> Line:
        """The same line, `depth_m` lower."""
        return Line(self.x_m, self.z_m - depth_m, self.slope)

    def knots(self, _x1_m: float, _x2_m: float) -> tuple[float, ...]:
        """Offsets between two others at which the line bends: none."""
        return ()


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight between points of rising offset; no ground beyond the first and the last."""

    xs_m: tuple[float, ...]
    zs_m: tuple[float, ...]

    def at(self, x_m: float) -> float:
        """Level at an offset. Raises GroundShortError beyond the ends."""
        xs, zs = self.xs_m, self.zs_m
        if not xs[0] - CLOSE_M <= x_m <= xs[-1] + CLOSE_M:
            raise GroundShortError(x_m)
        i = min(max(bisect_right(xs, x_m), 1), len(xs) - 1)
        return zs[i - 1] + (zs[i] - zs[i - 1]) * (x_m - xs[i - 1]) / (xs[i] - xs[i - 1])

    def lowered(self, depth_m: float) -> Polyline:
        """The same line, `depth_m` lower."""
        return Polyline(self.xs_m, tuple(z - depth_m for z in self.zs_m))

    def knots(self, x1_m: float, x2_m: float) -> tuple[float, ...]:
        """Offsets strictly between two others at which the line bends, rising."""
        return self.xs_m[bisect_right(self.xs_m, x1_m) : bisect_left(self.xs_m, x2_m)]


GroundLine = Line | Polyline


def meeting(line: Line, ground: GroundLine, start_m: float, limit_m: float) -> float | None:
    """First offset from `start_m` toward `limit_m` at which a line meets the ground, else None.

    Lines that touch within the tolerance of levels have met.
    """
    here, gap = start_m, line.at(start_m) - ground.at(start_m)
    if abs(gap) <= CLOSE_M:
        return start_m
    knots = ground.knots(min(start_m, limit_m), max(start_m, limit_m))
    ahead = knots if limit_m > start_m else knots[::-1]
    for mark in (*ahead, limit_m):
        there = line.at(mark) - ground.at(mark)
        if (there > 0) != (gap > 0):
            return here + (mark - here) * gap / (gap - there)
        if abs(there) <= CLOSE_M:
            return mark
        here, gap = mark, there
    return None


@dataclass(slots=True)
class Region:
    """An area put together from pieces; `codes` tell its shape, for comparing sections."""

    trapezoids: list[Trapezoid] = field(default_factory=list)
    codes: list[int] = field(default_factory=list)

    def add(
        self, uppers: Sequence[GroundLine], lowers: Sequence[GroundLine], x1_m: float, x2_m: float
    ) -> None:
        """Add what lies under every upper and over every lower line between two offsets."""
        self.codes.append(-1)
        if x2_m - x1_m <= SAME_M:
            return
        if len(uppers) == len(lowers) == 1:
            self._add_between(uppers[0], lowers[0], x1_m, x2_m)
            return
        lines = (*uppers, *lowers)
        first = [line.at(x1_m) for line in lines]
        a = x1_m
        for b in _marks(lines, x1_m, x2_m):
            last = [line.at(b) for line in lines]
            if b - a > SAME_M:
                self._add_straight(first, last, len(uppers), a, b)
            a, first = b, last

    def add_block(self, height_m: float, x1_m: float, x2_m: float) -> None:
        """Add one height between two offsets."""
        self.codes.append(-2)
        if x2_m - x1_m > SAME_M:
            self.trapezoids.append((x1_m, height_m, x2_m, height_m))

    def _add_between(self, upper: GroundLine, lower: GroundLine, x1_m: float, x2_m: float) -> None:
        """The same for one line over one other."""
        a, first = x1_m, (upper.at(x1_m), lower.at(x1_m))
        low = first[0] - first[1]
        for b in _marks((upper, lower), x1_m, x2_m):
            last = upper.at(b), lower.at(b)
            high = last[0] - last[1]
            if b - a > SAME_M:
                if low * high < 0:
                    self._add_straight(first, last, 1, a, b)
                elif low > SAME_M or high > SAME_M:
                    self.codes.append(0)
                    self.trapezoids.append((a, max(0.0, low), b, max(0.0, high)))
            a, first, low = b, last, high

    def _add_straight(
        self, first: Sequence[float], last: Sequence[float], uppers: int, a: float, b: float
    ) -> None:
        """Add between two offsets over which every line is straight."""
        if _is_shut(first, last, uppers):
            return
        crossings = _crossings(first, last)
        if not crossings:
            self._add_trapezoid(first, last, uppers, a, b)
            return
        before, x1 = first, a
        for share in (*crossings, 1.0):
            after = [p + share * (q - p) for p, q in zip(first, last, strict=True)]
            x2 = a + share * (b - a)
            if x2 > x1:
                self._add_trapezoid(before, after, uppers, x1, x2)
            before, x1 = after, x2

    def _add_trapezoid(
        self, first: Sequence[float], last: Sequence[float], uppers: int, a: float, b: float
    ) -> None:
        """Add between two offsets between which no lines cross."""
        low = min(first[:uppers]) - max(first[uppers:])
        high = min(last[:uppers]) - max(last[uppers:])
        if low > SAME_M or high > SAME_M:
            self.codes.append(_active(first, last, uppers))
            self.trapezoids.append((a, max(0.0, low), b, max(0.0, high)))


def _marks(lines: Sequence[GroundLine], x1_m: float, x2_m: float) -> list[float]:
    """Offsets after one at which a line bends, up to another and with it."""
    knots = [
        knot for line in lines if isinstance(line, Polyline) for knot in line.knots(x1_m, x2_m)
    ]
    return [*sorted(knots), x2_m]


def _is_shut(first: Sequence[float], last: Sequence[float], uppers: int) -> bool:
    """Whether an upper line lies nowhere over a lower one, so that nothing lies between all."""
    for upper in range(uppers):
        top, end = first[upper] - SAME_M, last[upper] - SAME_M
        for lower in range(uppers, len(first)):
            if top <= first[lower] and end <= last[lower]:
                return True
    return False


def _crossings(first: Sequence[float], last: Sequence[float]) -> list[float]:
    """Shares of the way at which two of the lines cross, rising."""
    found = []
    for (a, b), (c, d) in combinations(zip(first, last, strict=True), 2):
        start, end = c - a, d - b
        if (start > SAME_M and end < -SAME_M) or (start < -SAME_M and end > SAME_M):
            found.append(start / (start - end))
    return sorted(found)


def _active(first: Sequence[float], last: Sequence[float], uppers: int) -> int:
    """Which upper and which lower line bounds the area midway, as one number."""
    count = len(first)
    if count == FEWEST_LINES:
        return 0
    sums = [a + b for a, b in zip(first, last, strict=True)]
    upper = sums.index(min(sums[:uppers]), 0, uppers)
    lower = sums.index(max(sums[uppers:]), uppers)
    return upper * count + lower


def clipped(trapezoids: Sequence[Trapezoid], low_m: float, high_m: float) -> tuple[Trapezoid, ...]:
    """What lies between two offsets."""
    kept = []
    for x1, h1, x2, h2 in trapezoids:
        a, b = max(x1, low_m), min(x2, high_m)
        if a < b:
            slope = (h2 - h1) / (x2 - x1)
            kept.append((a, h1 + slope * (a - x1), b, h1 + slope * (b - x1)))
    return tuple(kept)


def moment(trapezoid: Trapezoid) -> tuple[float, float]:
    """Area of one trapezoid, and area times offset of its centroid."""
    return moments((trapezoid,))


def moments(trapezoids: Sequence[Trapezoid]) -> tuple[float, float]:
    """Area, and area times offset of its centroid."""
    area, first = 0.0, 0.0
    for x1, h1, x2, h2 in trapezoids:
        width = x2 - x1
        area += width * (h1 + h2) / 2
        first += width * (h1 * (2 * x1 + x2) + h2 * (x1 + 2 * x2)) / 6
    return area, first


def weighted(trapezoids: Sequence[Trapezoid], weight: Callable[[float], float]) -> float:
    """Integral of the height times a smooth function of the offset."""
    return sum(
        (x2 - x1) * share * (h1 + node * (h2 - h1)) * weight(x1 + node * (x2 - x1))
        for x1, h1, x2, h2 in trapezoids
        for node, share in GAUSS
    )
