"""Pieces of the plan between two stations, and upright sheets and bodies along them.

The offset rule (rule 1.4) for one straight or arc: its length moved toward the soil, less what the
corners at its ends take from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from service.core.layout.corner import CornerJoint, LegPart, scale_of
from service.core.quadrature import GAUSS

_SAME_M = 1e-11  # far below what is measured, above the noise of floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A straight or curved part of the plan between two stations, with the corners at the ends of
    its leg and how many parts lie between it and them."""

    part: LegPart
    from_m: float
    to_m: float
    start: CornerJoint | None = None
    start_rank: int = 0
    end: CornerJoint | None = None
    end_rank: int = 0

    def scale(self, x_m: float) -> float:
        """Length of the moved part per length of the plan line; negative beyond the center."""
        return scale_of(self.part, x_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """The part of a piece between two stations, with a height at each: linear between them.

    `start` and `end` are the corners that the run reaches from this piece.
    """

    piece: Piece
    from_m: float
    to_m: float
    from_height: float
    to_height: float
    start: CornerJoint | None
    end: CornerJoint | None
    loose: bool

    def is_linear(self, x1_m: float, x2_m: float) -> bool:
        """The sheet is a linear function of the offset between these two."""
        joints = [joint for joint in (self.start, self.end) if joint is not None]
        level = abs(self.to_height - self.from_height) < _SAME_M
        return (level or not joints) and all(
            joint.is_mitre(x_m) for joint in joints for x_m in (x1_m, x2_m)
        )

    def sheet(self, x_m: float) -> float:
        """Height times length of the moved line; negative where nothing is left.

        A corner takes the heights of the stations that it takes; what it adds is as high as the
        sheet is there.
        """
        scale = self.piece.scale(x_m)
        plain = (self.to_m - self.from_m) * scale
        total = plain * (self.from_height + self.to_height) / 2
        rise = (self.to_height - self.from_height) / (self.to_m - self.from_m)
        for joint, height, slope in (
            (self.start, self.from_height, rise),
            (self.end, self.to_height, -rise),
        ):
            if joint is not None:
                loss = self._loss(joint, x_m)
                total -= loss * height + self._rise_taken(loss, scale, slope)
        return total

    def _rise_taken(self, loss: float, scale: float, slope: float) -> float:
        """What the taken part of a sheet that rises from the corner has more than a level one; no
        more is taken than there is."""
        taken = min(max(0.0, loss / scale), self.to_m - self.from_m) if scale > 0 else 0.0
        return slope * taken * (max(0.0, loss) - taken * scale / 2)

    def _loss(self, joint: CornerJoint, x_m: float) -> float:
        """What a corner takes from the moved part (negative: adds to it)."""
        before, after = joint.losses(joint.met_m(x_m) if self.loose else x_m)
        return after[self.piece.start_rank] if joint is self.start else before[self.piece.end_rank]

    def body(self, x1_m: float, x2_m: float) -> float:
        """Height times area of the strip between two offsets.

        Only beside a corner at a curve, or under a slope beside a corner, it is no trapezoid: five
        nodes err by less than 1e-9 between the offsets at which a corner begins or ends to take.
        """
        if self.is_linear(x1_m, x2_m):
            return positive_trapezoid(self.sheet(x1_m), self.sheet(x2_m), x2_m - x1_m)
        marks = (x1_m, *sorted(self._bends(x1_m, x2_m)), x2_m)
        return math.fsum(self._smooth_body(a, b) for a, b in pairwise(marks))

    def _smooth_body(self, x1_m: float, x2_m: float) -> float:
        """The same where no corner begins or ends to take."""
        a, b = self._left_between(x1_m, x2_m)
        return (b - a) * math.fsum(
            weight * max(0.0, self.sheet(a + node * (b - a))) for node, weight in GAUSS
        )

    def _bends(self, x1_m: float, x2_m: float) -> Iterator[float]:
        """Offsets between two others at which a corner begins to take, or has taken all."""
        length = self.to_m - self.from_m
        for joint in (self.start, self.end):
            if joint is not None:
                yield from _turn(partial(self._takes, joint, 0.0), x1_m, x2_m)
                yield from _turn(partial(self._takes, joint, length), x1_m, x2_m)

    def _takes(self, joint: CornerJoint, length_m: float, x_m: float) -> bool:
        """Whether a corner takes more than so much of the plan line."""
        return self._loss(joint, x_m) > length_m * self.piece.scale(x_m)

    def _left_between(self, x1_m: float, x2_m: float) -> tuple[float, float]:
        """Offsets between two others between which some of the sheet is left."""
        first, last = self._is_left(x1_m), self._is_left(x2_m)
        if first == last:
            return x1_m, x2_m
        (turn,) = _turn(self._is_left, x1_m, x2_m)
        return (x1_m, turn) if first else (turn, x2_m)

    def _is_left(self, x_m: float) -> bool:
        return self.sheet(x_m) > _SAME_M


def _turn(holds: Callable[[float], bool], low: float, high: float) -> Iterator[float]:
    """Where something begins or ceases to hold, if it holds at one of two ends alone."""
    first = holds(low)
    if first == holds(high):
        return
    while high - low > _SAME_M:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) == first else (low, middle)
    yield high if first else low


def positive_trapezoid(first: float, last: float, width: float) -> float:
    """Area under the positive part of a straight line from `first` to `last`."""
    if first >= 0 and last >= 0:
        return width * (first + last) / 2
    if first <= 0 and last <= 0:
        return 0.0
    high = max(first, last)
    return width * high * high / (2 * abs(first - last))
