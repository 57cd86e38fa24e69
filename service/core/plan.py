"""The plan line and the offset rule, which faces, caps, pad, stone and fabric all follow.

Whatever lies at distance x behind the plan line (in front: negative) is as long as the plan
line moved toward the soil by x (contract section 4, 1): arcs shrink or grow, straight legs lose
or gain x·tan(angle/2) at a corner, and beside a curve the moved lines meet where they really
intersect. Beyond the center of a curve, or where a leg is used up, nothing is left (length 0).

Local frame at a corner: the corner is the origin, travel arrives along +x, the soil is at +y.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from service.core.errors import Fault, LayoutFaultsError, QuoteError
from service.core.rounding import CLOSE_M
from service.core.spec import Corner, Curve, PlanPart, Side, Straight

Point = tuple[float, float]

# Gauss-Legendre nodes and weights on [0, 1], five points (Abramowitz and Stegun, 25.4.30): for
# strips beside a corner at a curve, the only ones that aren't trapezoids; error under 1e-9 there.
_NODES = (0.046910077030668, 0.230765344947158, 0.5, 0.769234655052842, 0.953089922969332)
_WEIGHTS = (
    0.118463442528095,
    0.239314335249683,
    0.284444444444444,
    0.239314335249683,
    0.118463442528095,
)


class PlanOffsetError(QuoteError):
    """Moved lines that don't meet at the corner after plan part `part` (counted from 1)."""

    def __init__(self, part: int) -> None:
        self.part = part
        super().__init__(f"the moved lines on both sides of plan part {part} do not meet")


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerJoint:
    """A corner with what it joins; `part` is its number in the plan, counted from 1."""

    part: int
    side: Side
    angle_rad: float
    before: Straight | Curve
    after: Straight | Curve

    @property
    def is_mitre(self) -> bool:
        """Both neighbors are straight, so that trims grow with the offset in proportion."""
        return isinstance(self.before, Straight) and isinstance(self.after, Straight)

    def trims(self, x_m: float) -> tuple[float, float]:
        """What the lines before and after lose at this corner when moved by `x_m` (m)."""
        turn = self.angle_rad if self.side == "outside" else -self.angle_rad
        if self.is_mitre:
            loss = x_m * math.tan(turn / 2)
            return loss, loss
        before = _moved(self.before, 0.0, x_m)
        after = _moved(self.after, turn, x_m)
        meeting = _nearest_meeting(before, after)
        if meeting is None:
            raise PlanOffsetError(self.part)
        return -before.travel(meeting), after.travel(meeting)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A straight or curved part of the plan between two stations, with the corners at its ends."""

    part: Straight | Curve
    from_m: float
    to_m: float
    start: CornerJoint | None = None
    end: CornerJoint | None = None

    def scale(self, x_m: float) -> float:
        """Length of the moved part per length of the plan line; negative beyond the center."""
        if isinstance(self.part, Straight):
            return 1.0
        return (
            1 - x_m / self.part.radius_m
            if self.part.side == "outside"
            else 1 + x_m / self.part.radius_m
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """The part of a piece between two stations, with a height at each: linear between them."""

    piece: Piece
    from_m: float
    to_m: float
    from_height: float
    to_height: float

    @property
    def start(self) -> CornerJoint | None:
        """The corner this cut begins at, if it does."""
        return self.piece.start if self.from_m - self.piece.from_m < CLOSE_M else None

    @property
    def end(self) -> CornerJoint | None:
        """The corner this cut ends at, if it does."""
        return self.piece.end if self.piece.to_m - self.to_m < CLOSE_M else None

    @property
    def is_linear(self) -> bool:
        """The sheet is a linear function of the offset."""
        return all(joint is None or joint.is_mitre for joint in (self.start, self.end))

    def sheet(self, x_m: float) -> float:
        """Height times length of the moved line; negative where nothing is left."""
        plain = (self.to_m - self.from_m) * self.piece.scale(x_m)
        total = plain * (self.from_height + self.to_height) / 2
        if self.start is not None:
            total -= self.from_height * self.start.trims(x_m)[1]
        if self.end is not None:
            total -= self.to_height * self.end.trims(x_m)[0]
        return total

    def body(self, x1_m: float, x2_m: float) -> float:
        """Height times area of the strip between two offsets."""
        if self.is_linear:
            return _positive_trapezoid(self.sheet(x1_m), self.sheet(x2_m), x2_m - x1_m)
        width = x2_m - x1_m
        return width * math.fsum(
            weight * max(0.0, self.sheet(x1_m + node * width))
            for node, weight in zip(_NODES, _WEIGHTS, strict=True)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLine:
    """The measured plan. Stations run from 0 to `length_m`; `part_ends_m` are the stations at
    the end of each part; `corners` are (station, joint)."""

    pieces: tuple[Piece, ...]
    part_ends_m: tuple[float, ...]
    corners: tuple[tuple[float, CornerJoint], ...]

    @property
    def length_m(self) -> float:
        """Length of the plan line."""
        return self.part_ends_m[-1]

    @property
    def legs_m(self) -> tuple[float, ...]:
        """Plan lengths between corners, in order."""
        marks = (0.0, *(station for station, _ in self.corners), self.length_m)
        return tuple(b - a for a, b in pairwise(marks))

    def run_length_m(self, from_m: float, to_m: float, x_m: float) -> float:
        """Length of the plan line between two stations, moved toward the soil by `x_m`."""
        return self.sheet_m2(from_m, to_m, x_m, 1.0, 1.0)

    def strip_area_m2(self, from_m: float, to_m: float, x1_m: float, x2_m: float) -> float:
        """Area in plan between two offsets (x1 < x2) and two stations."""
        return self.body_m3(from_m, to_m, x1_m, x2_m, 1.0, 1.0)

    def sheet_m2(
        self, from_m: float, to_m: float, x_m: float, from_height: float, to_height: float
    ) -> float:
        """Area of an upright sheet at an offset, its height linear between the stations.

        At a corner, what is cut off or added has the height that the sheet has there.
        """
        cuts = self._cuts(from_m, to_m, from_height, to_height)
        return math.fsum(max(0.0, cut.sheet(x_m)) for cut in cuts)

    def body_m3(
        self,
        from_m: float,
        to_m: float,
        x1_m: float,
        x2_m: float,
        from_height: float,
        to_height: float,
    ) -> float:
        """Volume between two offsets, its height linear between the stations."""
        cuts = self._cuts(from_m, to_m, from_height, to_height)
        return math.fsum(cut.body(x1_m, x2_m) for cut in cuts)

    def _cuts(
        self, from_m: float, to_m: float, from_height: float, to_height: float
    ) -> Iterator[Cut]:
        slope = (to_height - from_height) / (to_m - from_m) if to_m > from_m else 0.0
        for piece in self.pieces:
            a, b = max(from_m, piece.from_m), min(to_m, piece.to_m)
            if b - a >= CLOSE_M:
                yield Cut(
                    piece=piece,
                    from_m=a,
                    to_m=b,
                    from_height=from_height + slope * (a - from_m),
                    to_height=from_height + slope * (b - from_m),
                )


def measure(parts: tuple[PlanPart, ...]) -> PlanLine:
    """Measure a plan: stations, corners and what they join.

    Raises LayoutFaultsError for a plan without length, a corner at an end or two in a row.
    """
    faults = tuple(_plan_faults(parts))
    if faults:
        raise LayoutFaultsError(faults)
    ends: list[float] = []
    pieces: list[Piece] = []
    corners: list[tuple[float, CornerJoint]] = []
    station = 0.0
    for index, part in enumerate(parts):
        joint = _joint(parts, index)
        if joint is not None:
            corners.append((station, joint))
        if not isinstance(part, Corner):
            pieces.append(
                Piece(
                    part=part,
                    from_m=station,
                    to_m=station + part.length_m,
                    start=_joint(parts, index - 1),
                    end=_joint(parts, index + 1),
                )
            )
        station += part.length_m
        ends.append(station)
    return PlanLine(pieces=tuple(pieces), part_ends_m=tuple(ends), corners=tuple(corners))


def _joint(parts: tuple[PlanPart, ...], index: int) -> CornerJoint | None:
    """The corner at an index of the plan, if one stands there."""
    corner = parts[index] if 0 <= index < len(parts) else None
    if not isinstance(corner, Corner):
        return None
    before, after = parts[index - 1], parts[index + 1]
    if isinstance(before, Corner) or isinstance(after, Corner):
        return None  # refused by _plan_faults
    return CornerJoint(
        part=index + 1, side=corner.side, angle_rad=corner.angle_rad, before=before, after=after
    )


def _plan_faults(parts: tuple[PlanPart, ...]) -> Iterator[Fault]:
    if not parts:
        yield Fault(
            code="plan-empty",
            at=("plan",),
            message="plan has no parts; give at least one straight or curve",
        )
    for index, part in enumerate(parts):
        if not isinstance(part, Corner):
            continue
        if index in (0, len(parts) - 1):
            yield Fault(
                code="corner-at-end",
                at=("plan", index),
                message=f"plan part {index + 1} is a corner at an end of the plan",
                hint="a corner joins two parts: add a straight or curve beyond it, "
                "or state the end as finished in ends",
            )
        elif isinstance(parts[index - 1], Corner):
            yield Fault(
                code="corners-in-a-row",
                at=("plan", index),
                message=f"plan parts {index} and {index + 1} are two corners in a row",
                hint="put a straight or curve between them",
            )


@dataclass(frozen=True, slots=True)
class _Line:
    """A moved straight: the point beside the corner and the direction of travel."""

    origin: Point
    direction: Point

    def travel(self, point: Point) -> float:
        """Distance along the line from beside the corner to a point on it."""
        return (point[0] - self.origin[0]) * self.direction[0] + (
            point[1] - self.origin[1]
        ) * self.direction[1]


@dataclass(frozen=True, slots=True)
class _Circle:
    """A moved arc: center, radius, sense of travel (+1 left), direction from center to corner."""

    center: Point
    radius: float
    sense: float
    toward_corner: Point

    def travel(self, point: Point) -> float:
        """Distance along the arc from beside the corner to a point on it."""
        vx, vy = point[0] - self.center[0], point[1] - self.center[1]
        ux, uy = self.toward_corner
        return self.sense * math.atan2(ux * vy - uy * vx, ux * vx + uy * vy) * self.radius


def _moved(part: Straight | Curve, heading: float, x_m: float) -> _Line | _Circle:
    """The part's line beside the corner, moved toward the soil; `heading` is travel there."""
    left = (-math.sin(heading), math.cos(heading))
    if isinstance(part, Straight):
        return _Line((x_m * left[0], x_m * left[1]), (math.cos(heading), math.sin(heading)))
    sense = 1.0 if part.side == "outside" else -1.0
    center = (sense * part.radius_m * left[0], sense * part.radius_m * left[1])
    return _Circle(center, part.radius_m - sense * x_m, sense, (-sense * left[0], -sense * left[1]))


def _nearest_meeting(one: _Line | _Circle, other: _Line | _Circle) -> Point | None:
    """Where two moved lines meet, nearest to the corner; None if they don't."""
    meetings = _meetings(one, other)
    return min(meetings, key=lambda point: math.hypot(*point)) if meetings else None


def _meetings(one: _Line | _Circle, other: _Line | _Circle) -> tuple[Point, ...]:
    """Two straight lines never come here: their corner is a mitre."""
    if isinstance(one, _Circle):
        if isinstance(other, _Circle):
            return _circles_meet(one, other)
        return _line_meets_circle(other, one)
    return _line_meets_circle(one, other) if isinstance(other, _Circle) else ()


def _line_meets_circle(line: _Line, circle: _Circle) -> tuple[Point, ...]:
    foot = line.travel(circle.center)
    x, y = (line.origin[i] + foot * line.direction[i] for i in (0, 1))
    room = circle.radius**2 - (x - circle.center[0]) ** 2 - (y - circle.center[1]) ** 2
    if circle.radius <= 0 or room < 0:
        return ()
    half = math.sqrt(room)
    return tuple(
        (x + way * half * line.direction[0], y + way * half * line.direction[1]) for way in (-1, 1)
    )


def _circles_meet(one: _Circle, other: _Circle) -> tuple[Point, ...]:
    dx, dy = other.center[0] - one.center[0], other.center[1] - one.center[1]
    apart = math.hypot(dx, dy)
    if apart < CLOSE_M or min(one.radius, other.radius) <= 0:
        return ()
    along = (apart**2 + one.radius**2 - other.radius**2) / (2 * apart)
    room = one.radius**2 - along**2
    if room < 0:
        return ()
    half = math.sqrt(room)
    ux, uy = dx / apart, dy / apart
    x, y = one.center[0] + along * ux, one.center[1] + along * uy
    return tuple((x - way * half * uy, y + way * half * ux) for way in (-1, 1))


def _positive_trapezoid(first: float, last: float, width: float) -> float:
    """Area under the positive part of a straight line from `first` to `last`."""
    if first >= 0 and last >= 0:
        return width * (first + last) / 2
    if first <= 0 and last <= 0:
        return 0.0
    high = max(first, last)
    return width * high * high / (2 * abs(first - last))
