"""Where a crew sets out a wall: stations with levels and trench edges, curves by ordinates.

Levels and edges are those of the layout and of the section's trench (rules 3 and 13.3); ordinates
of a curve are those of its circle over its chord.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from service.core.ground.trench import Digging, Trench, dig_trench
from service.core.job.job import Job
from service.core.job.spec import Curve
from service.core.job.topsoil import NO_TOPSOIL
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.rounding import CLOSE_M

# A string is stretched level over the wall: over the highest ground in front by this much at
# least, on a whole foot or quarter meter, so that every depth is read down from it.
STRING_OVER_M = 0.15
STRING_STEP_M = {"us": 0.3048, "metric": 0.25}
SPACING_M = {"us": 10 * 0.3048, "metric": 3.0}
ORDINATE_STEP_M = {"us": 4 * 0.3048, "metric": 1.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class SetOut:
    """One station: levels in meters over the datum, edges as offsets from the face line of the
    base course there (positive toward the soil). `step` is the courses by which the base steps up
    in the direction of travel right here, negative down."""

    station_m: float
    front_m: float
    pad_top_m: float
    trench_bottom_m: float
    below_string_m: float
    front_edge_m: float
    rear_edge_m: float
    face_m: float
    courses: int
    step: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """A point of a curve: so far along its chord from its start, and so far square off it."""

    station_m: float
    along_m: float
    ordinate_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveSetOut:
    """One curve of the plan: its stations, chord and middle ordinate, and points on it."""

    part: int
    curve: Curve
    from_m: float
    to_m: float
    chord_m: float
    rise_m: float
    points: tuple[CurvePoint, ...]


def string_level_m(layout: WallLayout, units: str) -> float:
    """The level at which a string is stretched along the wall."""
    highest = max(
        max(s.interval.start.front_m, s.interval.finish.front_m) for s in layout.stretches
    )
    step = STRING_STEP_M[units]
    return math.ceil((highest + STRING_OVER_M) / step - 1e-9) * step


def set_out_stations(layout: WallLayout, job: Job) -> tuple[SetOut, ...]:
    """Every station at which something changes, and every 10 ft or 3 m between."""
    units = job.units.name
    string, digging = string_level_m(layout, units), _digging(job)
    steps = {round(step.station_m, 6): step.courses for step in layout.steps}
    rows: list[SetOut] = []
    for stretch in layout.stretches:
        trench = dig_trench(layout, digging, stretch.base)
        for station in _within(layout, stretch, units):
            step = steps.get(round(station, 6), 0) if station == stretch.from_m else 0
            row = _row(layout, stretch, station, trench, string, step)
            if not rows or not _same(rows[-1], row):
                rows.append(row)
    return tuple(rows)


def _row(
    layout: WallLayout,
    stretch: Stretch,
    station_m: float,
    trench: Trench,
    string_m: float,
    step: int,
) -> SetOut:
    face = layout.offset_m(stretch.base)
    return SetOut(
        station_m=station_m,
        front_m=stretch.interval.at(station_m).front_m,
        pad_top_m=trench.pad_top_m,
        trench_bottom_m=trench.bottom_m,
        below_string_m=string_m - trench.bottom_m,
        front_edge_m=trench.front_m - face,
        rear_edge_m=trench.rear_m - face,
        face_m=face,
        courses=stretch.top_joint - stretch.base,
        step=step,
    )


def _same(one: SetOut, other: SetOut) -> bool:
    """The same place, set out alike: two stretches meet there and nothing changes."""
    return (
        abs(one.station_m - other.station_m) < CLOSE_M
        and other.step == 0
        and one.pad_top_m == other.pad_top_m
        and one.courses == other.courses
        and abs(one.front_m - other.front_m) < CLOSE_M
    )


def _within(layout: WallLayout, stretch: Stretch, units: str) -> Iterator[float]:
    """Stations of a stretch: its ends, the ends of parts of the plan, and round ones between."""
    spacing = SPACING_M[units]
    marks = [stretch.from_m]
    marks += [end for end in layout.plan.part_ends_m if stretch.from_m < end < stretch.to_m]
    marks.append(stretch.to_m)
    yield stretch.from_m
    for a, b in pairwise(marks):
        first = math.floor(a / spacing + 1e-9) + 1
        round_marks = (mark * spacing for mark in range(first, math.ceil(b / spacing - 1e-9)))
        yield from (mark for mark in round_marks if a + CLOSE_M < mark < b - CLOSE_M)
        yield b


def _digging(job: Job) -> Digging:
    """What the edges of a trench depend on; the slope behind it is the earthwork's."""
    section = job.section
    return Digging(
        pad=section.leveling_pad,
        drainage=section.drainage,
        working_room_m=section.excavation.working_room_m if section.excavation else 0.0,
        cut_slope=0.0,
        topsoil=job.topsoil or NO_TOPSOIL,
        grade_within_m=0.0,
    )


def set_out_curves(layout: WallLayout, units: str) -> tuple[CurveSetOut, ...]:
    """The curves of the plan line, each with chord, middle ordinate and points."""
    ends = (0.0, *layout.plan.part_ends_m)
    return tuple(
        set_out_curve(index + 1, part, ends[index], units)
        for index, part in enumerate(layout.spec.plan)
        if isinstance(part, Curve)
    )


def set_out_curve(part: int, curve: Curve, from_m: float, units: str) -> CurveSetOut:
    """A curve that begins at a station: its chord, its middle ordinate, points between its ends."""
    radius, angle = curve.radius_m, curve.angle_rad
    count = max(2, math.ceil(curve.length_m / ORDINATE_STEP_M[units] - 1e-9))
    points = tuple(
        CurvePoint(
            station_m=from_m + curve.length_m * i / count,
            along_m=radius * (math.sin(angle / 2) + math.sin(angle * (i / count - 0.5))),
            ordinate_m=radius * (math.cos(angle * (i / count - 0.5)) - math.cos(angle / 2)),
        )
        for i in range(1, count)
    )
    return CurveSetOut(
        part=part,
        curve=curve,
        from_m=from_m,
        to_m=from_m + curve.length_m,
        chord_m=2 * radius * math.sin(angle / 2),
        rise_m=radius * (1 - math.cos(angle / 2)),
        points=points,
    )
