"""The plan line as points: where it runs on the ground, and moved toward the soil.

Travel is to the right, the soil lies to the left of it (rule 1.1): up on the sheet. What is
outside turns toward the soil.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from shapely import LineString

from service.core.job.spec import Corner, Curve, PlanPart, Straight
from service.core.rounding import CLOSE_M

Point = tuple[float, float]
# Chords of an arc turn by so much at most: a radius of 10 m is missed by 3 mm.
_CHORD_RAD = math.radians(2.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A point of the line and the direction of travel there."""

    station_m: float
    at: Point
    heading_rad: float

    def beside(self, offset_m: float, along_m: float = 0.0) -> Point:
        """The point so far toward the soil, and so far on."""
        (x, y), sin, cos = self.at, math.sin(self.heading_rad), math.cos(self.heading_rad)
        return x - offset_m * sin + along_m * cos, y + offset_m * cos + along_m * sin


@dataclass(frozen=True, slots=True, kw_only=True)
class PartDrawn:
    """A part of the plan with its points in order."""

    part: PlanPart
    places: tuple[Place, ...]


def trace(plan: tuple[PlanPart, ...]) -> tuple[PartDrawn, ...]:
    """The parts of a plan one after the other, from the origin to the right, in meters."""
    place = Place(station_m=0.0, at=(0.0, 0.0), heading_rad=0.0)
    drawn = []
    for part in plan:
        places = (place, *_along(part, place))
        drawn.append(PartDrawn(part=part, places=places))
        place = places[-1]
    return tuple(drawn)


def _along(part: PlanPart, start: Place) -> Iterator[Place]:
    match part:
        case Straight(length_m=length):
            yield _straight_on(start, length)
        case Corner(angle_rad=angle):
            turned = start.heading_rad + _sense(part) * angle
            yield Place(station_m=start.station_m, at=start.at, heading_rad=turned)
        case Curve():
            count = max(2, math.ceil(part.angle_rad / _CHORD_RAD))
            for number in range(1, count + 1):
                yield _turned(part, start, number / count)


def _straight_on(start: Place, length: float) -> Place:
    x, y = start.at
    heading = start.heading_rad
    return Place(
        station_m=start.station_m + length,
        at=(x + length * math.cos(heading), y + length * math.sin(heading)),
        heading_rad=heading,
    )


def _turned(curve: Curve, start: Place, share: float) -> Place:
    """A point of an arc: its chord from the start runs at half of the angle turned."""
    angle = curve.angle_rad * share
    chord = 2 * curve.radius_m * math.sin(angle / 2)
    heading = start.heading_rad + _sense(curve) * angle / 2
    x, y = start.at
    return Place(
        station_m=start.station_m + curve.length_m * share,
        at=(x + chord * math.cos(heading), y + chord * math.sin(heading)),
        heading_rad=start.heading_rad + _sense(curve) * angle,
    )


def _sense(part: Curve | Corner) -> float:
    """1 for a turn to the left, toward the soil."""
    return 1.0 if part.side == "outside" else -1.0


def points_of(drawn: tuple[PartDrawn, ...]) -> list[Point]:
    """All points, each once."""
    points: list[Point] = []
    for part in drawn:
        for place in part.places:
            if not points or math.dist(points[-1], place.at) > CLOSE_M:
                points.append(place.at)
    return points


def moved(points: list[Point], by_m: float) -> list[Point]:
    """The line moved toward the soil; its legs meet where they cross."""
    if by_m == 0:
        return points
    line = LineString(points).offset_curve(by_m, join_style="mitre", mitre_limit=10)
    parts = [part for part in getattr(line, "geoms", (line,)) if not part.is_empty]
    longest = max(parts, key=lambda part: part.length, default=None)
    return [] if longest is None else [(float(x), float(y)) for x, y in longest.coords]


def place_at(drawn: tuple[PartDrawn, ...], station_m: float) -> Place:
    """Where a station lies: on the chord between the two points beside it."""
    places = [place for part in drawn for place in part.places]
    for before, after in pairwise(places):
        if before.station_m <= station_m <= after.station_m and after.station_m > before.station_m:
            share = (station_m - before.station_m) / (after.station_m - before.station_m)
            at = (
                before.at[0] + share * (after.at[0] - before.at[0]),
                before.at[1] + share * (after.at[1] - before.at[1]),
            )
            return Place(station_m=station_m, at=at, heading_rad=before.heading_rad)
    return places[-1]
