"""Where units of a course and caps meet along the face, as they were counted (rules 6 and 7).

Corner units take their part of a leg's face first; standard units follow from its start, the last
one cut. Every second course begins with half a unit, and a run that begins at a step keeps the bond
of the others: its first and its last unit are cut, and may be parts of one unit of the count.
"""

from __future__ import annotations

from collections.abc import Iterator

from service.core.layout.courses import CapLeg, Course, Leg
from service.core.rounding import CLOSE_M


def leg_joints(leg: Leg, course: Course, unit_m: float) -> list[float]:
    """Stations of the upright joints within a leg."""
    start, end = leg.covers_m
    last = leg.face_length_m - max(0.0, end)
    marks = [start] if start > 0 else []
    marks += unit_marks(leg, course, unit_m)
    marks += [last] if end > 0 and last > start else []
    seen = [mark for mark in marks if CLOSE_M < mark < leg.face_length_m - CLOSE_M]
    per_face = (leg.to_station_m - leg.from_station_m) / leg.face_length_m
    return [leg.from_station_m + mark * per_face for mark in seen]


def unit_marks(leg: Leg, course: Course, unit_m: float) -> Iterator[float]:
    """Joints between standard units, along the face from the leg's start; below 0 and beyond its
    length where it runs on behind another leg."""
    start, end = leg.covers_m
    last = leg.face_length_m - end
    place = start + _first(leg, course, unit_m)
    while place < last - CLOSE_M:
        yield place
        place += unit_m


def _first(leg: Leg, course: Course, unit_m: float) -> float:
    """How long the first unit of a leg is: half in every second course; at a step what the bond
    leaves."""
    whole = unit_m if course.number % 2 else unit_m / 2
    if leg.covers_m[0]:
        return whole
    left = (whole - leg.from_station_m) % unit_m
    return left if left > CLOSE_M else unit_m


def covered_stations(leg: Leg) -> Iterator[tuple[float, float]]:
    """Stations between which corner units cover a leg's face."""
    start, end = leg.covers_m
    long = leg.to_station_m - leg.from_station_m
    per_face = long / leg.face_length_m
    if start > 0:
        yield leg.from_station_m, leg.from_station_m + min(long, start * per_face)
    if end > 0:
        yield leg.to_station_m - min(long, end * per_face), leg.to_station_m


def cap_joints(leg: CapLeg, cap_m: float) -> Iterator[float]:
    """Stations of the joints between the caps of a leg, the last of them cut."""
    per_length = (leg.to_station_m - leg.from_station_m) / leg.length_m
    for number in range(1, leg.units):
        yield leg.from_station_m + number * cap_m * per_length
