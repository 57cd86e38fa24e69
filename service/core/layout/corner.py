"""Corners of the plan: where the moved lines of two legs meet, and what the legs lose there.

Local frame: the corner is the origin, travel arrives along +x, the soil is at +y.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache

from service.core.errors import QuoteError
from service.core.job.spec import Curve, Straight, TurnSide
from service.core.rounding import CLOSE_M

Point = tuple[float, float]

FARTHEST_M = 100.0  # nothing of a wall lies farther from its plan line
_PARALLEL = 1e-12
_HALVINGS = 50


class PlanOffsetError(QuoteError):
    """Moved lines that don't meet at the corner after plan part `part` (counted from 1)."""

    def __init__(self, part: int) -> None:
        self.part = part
        super().__init__(f"the moved lines on both sides of plan part {part} do not meet")


LegPart = Straight | Curve


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerJoint:
    """A corner and the two legs it joins; `part` is its number in the plan, counted from 1, and
    `station_m` where it stands.

    `before` and `after` are the parts of each leg, the one beside the corner first.
    """

    part: int
    station_m: float
    side: TurnSide
    angle_rad: float
    before: tuple[LegPart, ...]
    after: tuple[LegPart, ...]
    is_straight: bool = field(init=False, repr=False, compare=False)
    _loss_per_m: float = field(init=False, repr=False, compare=False)
    _most_m: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Work out once, as every strip beside the corner asks for it: whether all parts of both
        legs are straight, so that their moved lines always meet; what straights lose per m of
        offset, and the most that they can lose at a mitre."""
        legs = self.before, self.after
        straight = all(isinstance(part, Straight) for leg in legs for part in leg)
        beside = all(isinstance(leg[0], Straight) for leg in legs)
        shortest = min((leg[0].length_m for leg in legs if len(leg) > 1), default=math.inf)
        object.__setattr__(self, "is_straight", straight)
        object.__setattr__(self, "_loss_per_m", math.tan(self.turn_rad / 2))
        object.__setattr__(self, "_most_m", shortest if beside else -math.inf)

    @property
    def turn_rad(self) -> float:
        """Change of direction, positive to the left (outside)."""
        return self.angle_rad if self.side == "outside" else -self.angle_rad

    def is_mitre(self, x_m: float) -> bool:
        """Straights meet at this offset, so that losses are in proportion to it."""
        return self._mitre_m(x_m) is not None

    def losses(self, x_m: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """What each part of the two legs loses at this corner when moved by `x_m` (m).

        A part shorter than its loss is used up, and the next one of its leg is met instead.
        """
        if (loss := self._mitre_m(x_m)) is None:
            return _curved_losses(self, x_m)
        return (loss, *[0.0] * (len(self.before) - 1)), (loss, *[0.0] * (len(self.after) - 1))

    def _mitre_m(self, x_m: float) -> float | None:
        """What both legs lose where straights meet at this offset, None where they don't."""
        loss = x_m * self._loss_per_m
        return None if loss > self._most_m else loss

    def met_m(self, x_m: float) -> float:
        """An offset, or the last one before it at which the moved lines still meet: farther out
        each strip ends where its neighbor does."""
        if self.is_straight or self.is_mitre(x_m):
            return x_m
        limit = _last_met_m(self, math.copysign(FARTHEST_M, x_m))
        return min(x_m, limit) if limit > 0 else max(x_m, limit)


@lru_cache(maxsize=256)
def _last_met_m(joint: CornerJoint, limit_m: float) -> float:
    """How far from 0 toward a limit the moved lines of a corner meet."""

    def meets(x_m: float) -> bool:
        try:
            joint.losses(x_m)
        except PlanOffsetError:
            return False
        return True

    if meets(limit_m):
        return limit_m
    low, high = 0.0, limit_m
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if meets(middle) else (low, middle)
    return low


@lru_cache(maxsize=4096)
def _curved_losses(joint: CornerJoint, x_m: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Losses where a curve has a part in it; both legs and every strip ask for the same ones."""
    before, after = _backward(joint.before, x_m), _forward(joint.after, joint.turn_rad, x_m)
    i = j = 0
    while True:
        meeting = _nearest_meeting(before[i].line, after[j].line)
        lost_before = -before[i].line.travel(meeting) if meeting else math.inf
        lost_after = after[j].line.travel(meeting) if meeting else math.inf
        if lost_before > before[i].length and i + 1 < len(before):
            i += 1
        elif lost_after > after[j].length and j + 1 < len(after):
            j += 1
        elif meeting is None:
            raise PlanOffsetError(joint.part)
        else:
            return _up_to(before, i, lost_before), _up_to(after, j, lost_after)


@dataclass(frozen=True, slots=True)
class _Line:
    """A moved straight: the point at the end that faces the corner, and the direction of travel."""

    origin: Point
    direction: Point

    def travel(self, point: Point) -> float:
        """Distance along the line from its end to a point on it."""
        return (point[0] - self.origin[0]) * self.direction[0] + (
            point[1] - self.origin[1]
        ) * self.direction[1]


@dataclass(frozen=True, slots=True)
class _Circle:
    """A moved arc: center, radius, sense of travel (+1 left), direction from the center to the end
    that faces the corner."""

    center: Point
    radius: float
    sense: float
    toward_end: Point

    def travel(self, point: Point) -> float:
        """Distance along the arc from its end to a point on it."""
        vx, vy = point[0] - self.center[0], point[1] - self.center[1]
        ux, uy = self.toward_end
        return self.sense * math.atan2(ux * vy - uy * vx, ux * vx + uy * vy) * self.radius


@dataclass(frozen=True, slots=True)
class _MovedPart:
    """A part of a leg, moved: its line near the corner, and its length."""

    line: _Line | _Circle
    length: float


def scale_of(part: LegPart, x_m: float) -> float:
    """Length of a moved part per length of the part."""
    return 1.0 if isinstance(part, Straight) else 1 - _sense(part) * x_m / part.radius_m


def _sense(part: Curve) -> float:
    """+1 for a curve to the left (outside), -1 to the right."""
    return 1.0 if part.side == "outside" else -1.0


def _backward(parts: tuple[LegPart, ...], x_m: float) -> list[_MovedPart]:
    """The leg before a corner, from the corner back; travel arrives along +x at the origin."""
    moved, place, heading = [], (0.0, 0.0), 0.0
    for part in parts:
        length = max(0.0, part.length_m * scale_of(part, x_m))
        moved.append(_MovedPart(_moved(part, place, heading, x_m), length))
        place, heading = _run_on(part, place, heading, -1.0)
    return moved


def _forward(parts: tuple[LegPart, ...], heading: float, x_m: float) -> list[_MovedPart]:
    """The leg after a corner, from the corner on."""
    moved, place = [], (0.0, 0.0)
    for part in parts:
        length = max(0.0, part.length_m * scale_of(part, x_m))
        moved.append(_MovedPart(_moved(part, place, heading, x_m), length))
        place, heading = _run_on(part, place, heading, 1.0)
    return moved


def _run_on(part: LegPart, place: Point, heading: float, way: float) -> tuple[Point, float]:
    """Place and heading at the other end of a part; `way` -1 goes against travel."""
    if isinstance(part, Straight):
        along = (math.cos(heading), math.sin(heading))
        step = way * part.length_m
        return (place[0] + step * along[0], place[1] + step * along[1]), heading
    center = _center(part, place, heading)
    turn = way * _sense(part) * part.angle_rad
    dx, dy = place[0] - center[0], place[1] - center[1]
    sin, cos = math.sin(turn), math.cos(turn)
    return (center[0] + dx * cos - dy * sin, center[1] + dx * sin + dy * cos), heading + turn


def _center(part: Curve, place: Point, heading: float) -> Point:
    reach = _sense(part) * part.radius_m
    return place[0] - reach * math.sin(heading), place[1] + reach * math.cos(heading)


def _moved(part: LegPart, place: Point, heading: float, x_m: float) -> _Line | _Circle:
    """The line of a part moved toward the soil, seen from its end at `place`."""
    left = (-math.sin(heading), math.cos(heading))
    if isinstance(part, Straight):
        origin = (place[0] + x_m * left[0], place[1] + x_m * left[1])
        return _Line(origin, (math.cos(heading), math.sin(heading)))
    sense = _sense(part)
    radius = part.radius_m - sense * x_m
    return _Circle(
        _center(part, place, heading), radius, sense, (-sense * left[0], -sense * left[1])
    )


def _up_to(parts: list[_MovedPart], last: int, loss: float) -> tuple[float, ...]:
    """Losses of a leg's parts: those before `last` are used up, those after it lose nothing."""
    used = (part.length for part in parts[:last])
    return (*used, loss, *(0.0 for _ in parts[last + 1 :]))


def _nearest_meeting(one: _Line | _Circle, other: _Line | _Circle) -> Point | None:
    """Where two moved lines meet, nearest to the corner; None if they don't."""
    meetings = _meetings(one, other)
    return min(meetings, key=lambda point: math.hypot(*point)) if meetings else None


def _meetings(one: _Line | _Circle, other: _Line | _Circle) -> tuple[Point, ...]:
    if isinstance(one, _Circle):
        if isinstance(other, _Circle):
            return _circles_meet(one, other)
        return _line_meets_circle(other, one)
    if isinstance(other, _Circle):
        return _line_meets_circle(one, other)
    return _lines_meet(one, other)


def _lines_meet(one: _Line, other: _Line) -> tuple[Point, ...]:
    (ux, uy), (vx, vy) = one.direction, other.direction
    across = ux * vy - uy * vx
    if abs(across) < _PARALLEL:
        return ()
    dx, dy = other.origin[0] - one.origin[0], other.origin[1] - one.origin[1]
    along = (dx * vy - dy * vx) / across
    return ((one.origin[0] + along * ux, one.origin[1] + along * uy),)


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
