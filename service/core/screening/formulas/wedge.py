"""Trial wedges: the largest push of ground that slides on a plane through one point.

Culmann's method: of all planes through the heel the one whose wedge pushes most. N, m. A plane is
told by its slope, rise over run. Source: a state transport agency's Trenching and Shoring Manual
(2011, rev. 2), ch. 4; UFC 3-220-20 (2025), ch. 4.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.core.screening.formulas.earth_pressure import PressureLimitError
from service.core.screening.formulas.peak import peak
from service.core.screening.formulas.wedge_slice import (
    WedgeSlice,
    between,
    seen_from,
    weight_seen,
)

_CLOSE = 1e-9
_STEP = 1e-6  # of a part: from its end inward
_PARTS = 6  # of a range between marks: over so few the push has one top
_STEEPEST = 1e4  # rise over run of the steepest plane tried on an upright back


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """Friction along a plane: of the fill, of the ground behind the cut as it lies under the lines
    of `native`, and of the back that is pushed, which leans by `batter`, rise of run over height.
    """

    fill: float
    native: float
    back_rad: float
    batter: float

    @property
    def least(self) -> float:
        """The smaller tangent of the two."""
        return min(self.fill, self.native)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wedge:
    """The wedge that pushes most: level part of its push, N/m, the slope of its plane, and the
    share of it that stands on ground behind the cut."""

    push_n_m: float
    plane: float
    native_share: float = 0.0


_Tried = tuple[float, float]
"""A push and its plane."""
NO_WEDGE = Wedge(push_n_m=0.0, plane=math.inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """All slices behind a wall, and the lines under which the ground behind the cut lies."""

    slices: tuple[WedgeSlice, ...]
    native: tuple[WedgeSlice, ...]
    friction: Friction

    def largest(self, x_m: float, y_m: float) -> Wedge:
        """The wedge through a point of the back that pushes most.

        Raises PressureLimitError where ground without end is steeper than its friction.
        """
        low, high = self._range()
        marks = [low, *sorted(set(self._events(x_m, y_m, low, high))), high]
        slices = [slice_ for slice_ in self.slices if slice_.to_m > x_m]
        trial = _Trial(slices, [n for n in self.native if n.to_m > x_m], self.friction, x_m, y_m)
        return trial.largest(marks)

    def _range(self) -> tuple[float, float]:
        """Slopes of planes that can slide, from the flattest to the back itself."""
        last = max((s.slope for s in self.slices if math.isinf(s.to_m)), default=0.0)
        least = self.friction.least
        if last > least + _CLOSE:
            raise PressureLimitError(
                f"ground that rises {last:.4g} in 1 is steeper than its friction, {least:.4g}: "
                "such ground does not stand by itself"
            )
        batter = self.friction.batter
        high = min(1 / batter, _STEEPEST) if batter > 0 else _STEEPEST
        return max(least, last) + _CLOSE, high

    def _events(self, x_m: float, y_m: float, low: float, high: float) -> Iterator[float]:
        """Planes at which something begins or ends to be cut, or changes its friction."""
        for slice_ in (*self.slices, *self.native):
            for end in (slice_.from_m, slice_.to_m):
                if math.isfinite(end) and end > x_m + _CLOSE:
                    slope = (slice_.at(end) - y_m) / (end - x_m)
                    if low < slope < high:
                        yield slope
        for line in self.native:
            for slope in (line.slope * (1 - 1e-7), line.slope * (1 + 1e-7)):
                if low < slope < high:
                    yield slope


class _Trial:
    """Planes through one point, tried one by one."""

    def __init__(
        self,
        slices: Sequence[WedgeSlice],
        native: Sequence[WedgeSlice],
        friction: Friction,
        x_m: float,
        y_m: float,
    ) -> None:
        self.slices, self.native, self.friction = slices, native, friction
        self.x, self.y = x_m, y_m
        self.seen = seen_from(slices, x_m, y_m)
        self.behind = [
            (line, between(self.seen, line[1], line[1] + line[2]))
            for line in seen_from(native, x_m, y_m)
        ]
        self.weighed: dict[float, tuple[float, float]] = {}
        lean = friction.back_rad - math.atan(friction.batter)
        self.cos, self.sin = math.cos(lean), math.sin(lean)

    def largest(self, marks: Sequence[float]) -> Wedge:
        """The best plane of all ranges between marks."""
        ranges = [(a, b) for a, b in pairwise(marks) if b - a > _CLOSE]
        planes = [plane for ends in ranges for plane in ends]
        best = max(((self.push(plane), plane) for plane in planes), default=(0.0, math.inf))
        for a, b in ranges:
            if self._most(a, b) > best[0]:
                best = max(best, *self._tops(a, b, best[0]))
        if best[0] <= 0:
            return NO_WEDGE
        weight, native = self._weights(best[1])
        return Wedge(push_n_m=best[0] * self.cos, plane=best[1], native_share=native / weight)

    def push(self, plane: float) -> float:
        """Push of the wedge over a plane, along its own direction."""
        weight, native = self._weights(plane)
        grip = self.friction.fill * (weight - native) + self.friction.native * native
        return self._along(weight, grip, plane)

    def _along(self, weight: float, grip: float, plane: float) -> float:
        """Push of a weight on a plane that holds it with a grip, N/m; below 0 where it stays."""
        if weight <= 0:
            return 0.0
        drive = weight * plane - grip
        return weight * drive / ((weight + plane * grip) * self.cos + drive * self.sin)

    def _most(self, low: float, high: float) -> float:
        """What no push within a range exceeds: the heaviest wedge, that of the flattest plane, on
        the steepest plane, held by the lesser friction."""
        weight, _ = self._weights(low)
        return self._along(weight, self.friction.least * weight, high)

    def _weights(self, plane: float) -> tuple[float, float]:
        """Weight of the wedge, and what of it stands where the plane runs behind the cut."""
        if (known := self.weighed.get(plane)) is not None:
            return known
        native = 0.0
        for line, over in self.behind:
            rise, run, width, slope = line[:4]
            start, gain = rise - plane * run, slope - plane
            finish = start + gain * width  # nan along a line without end
            if start > 0 and finish >= 0:
                native += weight_seen(over, plane)
            elif start > 0 or finish > 0:
                met = run - start / gain if gain else run  # nowhere along a line without end
                part = (run, met) if start > 0 else (met, run + width)
                native += weight_seen(between(over, *part), plane)
        self.weighed[plane] = found = weight_seen(self.seen, plane), native
        return found

    def _tops(self, low: float, high: float, least: float) -> list[tuple[float, float]]:
        """Push and plane of the largest within a range: about each of its parts' ends that pushes
        more than those beside it, where more than `least` can be found."""
        first, gap = 1 / low, (1 / high - 1 / low) / _PARTS
        planes = [1 / (first + gap * part) for part in range(_PARTS + 1)]
        tried = [(self.push(plane), plane) for plane in planes]
        found = [max(tried)]
        beside = zip([tried[0], *tried[:-1]], tried, [*tried[1:], tried[-1]], strict=True)
        for left, middle, right in beside:
            if middle[0] < max(left[0], right[0]) or self._most(left[1], right[1]) <= least:
                continue
            if self._rises(left, middle, right):
                push, flatness = peak(lambda at: self.push(1 / at), 1 / right[1], 1 / left[1])
                found.append((push, 1 / flatness))
        return found

    def _rises(self, left: _Tried, middle: _Tried, right: _Tried) -> bool:
        """Whether a part that has its largest push at one of its ends has a larger one farther in:
        whether it grows from that end on. Any other part has."""
        if middle not in (left, right):
            return True
        end, inner = 1 / middle[1], 1 / (right if middle == left else left)[1]
        return self.push(1 / (end + _STEP * (inner - end))) > middle[0]
