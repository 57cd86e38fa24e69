"""The elevation: a wall seen from the front, unrolled along its plan line, in rows if it is long.

Courses, runs, legs, caps and layers are those of the layout. Every second course begins with half a
unit: two halves are one unit of the count.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from service.core.layout.courses import Course, Leg
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.quote import Quote
from service.documents.drawings.canvas import Canvas, Point
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.elevation_row import SIDE_MM, ElevationRow
from service.documents.drawings.scale import MM_PER_M, draw_bar, round_scale

WIDTH_MM = 180.0
_COURSE_MM = 3.2
_HEAD_MM = 12.0
_FOOT_MM = 16.0
_BAR_MM = 8.0
_LEVEL_STEP_MM = 3.4
MOST_ROWS = 14


def draw_elevation(quote: Quote, writing: Writing, wall: str | None = None) -> Drawing:
    """The elevation of one wall: the first where none is named."""
    layouts = {layout.name: layout for layout in quote.layouts}
    layout = layouts[wall] if wall is not None else quote.layouts[0]
    rows, height = _rows(layout)
    canvas = Canvas(WIDTH_MM, height)
    for number, row in enumerate(rows):
        _draw_row(canvas, layout, row, quote, writing)
        _match_lines(canvas, row, number, len(rows), writing)
    words = writing.words
    canvas.write((2, 5), layout.name, anchor="start", size=3.2, strong=True)
    draw_bar(canvas, (SIDE_MM, height - 4), rows[0].scale, writing)
    return canvas.drawing(
        words.say("Elevation of {wall}", wall=layout.name),
        words.say(
            "Seen from the front, unrolled along the plan line: {length} long, {courses} courses "
            "at most, {height} from the lowest unit to the top.",
            length=writing.length(layout.length_m),
            courses=layout.most_courses,
            height=writing.length(layout.max_wall_height_m),
        ),
    )


def _rows(layout: WallLayout) -> tuple[tuple[ElevationRow, ...], float]:
    """The rows of a wall and the height of the sheet: a course is as high as can be read, unless
    the wall is so long that it would fill too many rows."""
    wide = WIDTH_MM - 2 * SIDE_MM
    by_course = layout.grid.course_m * MM_PER_M / _COURSE_MM
    by_rows = layout.length_m * MM_PER_M / (MOST_ROWS * wide)
    in_one = layout.length_m * MM_PER_M / wide
    scale = round_scale(max(by_rows, min(by_course, in_one), 1.0))
    count = max(1, math.ceil(in_one / scale - 1e-9))
    low, high = _levels(layout)
    tall = (high - low) * MM_PER_M / scale
    each = tall + _HEAD_MM + _FOOT_MM
    length = layout.length_m / count
    rows = tuple(
        ElevationRow(
            from_m=number * length,
            to_m=(number + 1) * length,
            high_m=high,
            scale=scale,
            y_mm=number * each + _HEAD_MM,
        )
        for number in range(count)
    )
    return rows, each * count + _BAR_MM


def _levels(layout: WallLayout) -> tuple[float, float]:
    """The lowest and the highest level that is drawn."""
    ends = [
        level
        for stretch in layout.stretches
        for levels in (stretch.interval.start, stretch.interval.finish)
        for level in (levels.front_m, levels.back_m, levels.top_m)
    ]
    lowest = layout.courses[0].elevation_m
    return min(lowest, *ends), max(layout.built_top_m, *ends)


def _draw_row(
    canvas: Canvas, layout: WallLayout, row: ElevationRow, quote: Quote, writing: Writing
) -> None:
    for course in layout.courses:
        _draw_course(canvas, layout, course, row)
    _draw_caps(canvas, layout, row)
    _draw_buried(canvas, layout, row)
    _draw_layers(canvas, layout, row, quote)
    _draw_grades(canvas, layout, row)
    _write_levels(canvas, layout, row, writing)
    _write_stations(canvas, layout, row, writing)


def _draw_course(canvas: Canvas, layout: WallLayout, course: Course, row: ElevationRow) -> None:
    """A course as outlines of its runs, all of its joints one path, corner units shaded."""
    low, high = course.elevation_m, course.elevation_m + layout.grid.course_m
    joints: list[list[Point]] = []
    for run in course.runs:
        part = row.cut(run.from_station_m, run.to_station_m)
        if part is None:
            continue
        canvas.area(row.box(*part, low, high), fill="#ffffff")
        for leg in run.legs:
            _shade_corners(canvas, layout, leg, row, low, high)
            joints += [
                [(row.x(station), row.y(low)), (row.x(station), row.y(high))]
                for station in joint_stations(layout, course, leg)
                if row.from_m < station < row.to_m
            ]
    canvas.strokes(joints)


def joint_stations(layout: WallLayout, course: Course, leg: Leg) -> Iterator[float]:
    """Stations of the joints within a leg: every unit, in every second course half a unit on."""
    unit = layout.system.standard.face_length_m
    if leg.face_length_m <= 0:
        return
    per_station = (leg.to_station_m - leg.from_station_m) / leg.face_length_m
    begins = unit / 2 if course.number % 2 == 0 else unit
    place = begins
    while place < leg.face_length_m - 1e-6:
        yield leg.from_station_m + place * per_station
        place += unit


def _shade_corners(
    canvas: Canvas, layout: WallLayout, leg: Leg, row: ElevationRow, low: float, high: float
) -> None:
    """Corner units at the corners that the leg ends at."""
    corner = layout.system.corner
    if corner is None or not leg.corner_units:
        return
    stations = {round(station, 6) for station, _ in layout.plan.corners}
    wide = min(corner.face_length_m, leg.to_station_m - leg.from_station_m)
    for end, inward in ((leg.from_station_m, wide), (leg.to_station_m, -wide)):
        if round(end, 6) in stations:
            part = row.cut(min(end, end + inward), max(end, end + inward))
            if part:
                canvas.area(row.box(*part, low, high), fill="#d9d9d9")


def _draw_caps(canvas: Canvas, layout: WallLayout, row: ElevationRow) -> None:
    cap = layout.system.cap
    if cap is None:
        return
    joints: list[list[Point]] = []
    for stretch in layout.stretches:
        part = row.cut(stretch.from_m, stretch.to_m)
        if part:
            level = layout.grid.level_m(stretch.top_joint)
            canvas.area(row.box(*part, level, level + cap.height_m), fill="#f2f2f2")
    for run in layout.caps:
        place = run.from_station_m + cap.face_length_m
        while place < run.to_station_m - 1e-6:
            level = _top_at(layout, place)
            if row.from_m < place < row.to_m:
                x = row.x(place)
                joints.append([(x, row.y(level)), (x, row.y(level + cap.height_m))])
            place += cap.face_length_m
    canvas.strokes(joints)


def _top_at(layout: WallLayout, station_m: float) -> float:
    for stretch in layout.stretches:
        if stretch.from_m <= station_m <= stretch.to_m:
            return layout.grid.level_m(stretch.top_joint)
    return layout.grid.level_m(layout.stretches[-1].top_joint)


def _draw_buried(canvas: Canvas, layout: WallLayout, row: ElevationRow) -> None:
    """What of the wall stands below the ground in front."""
    for stretch in layout.stretches:
        part = row.cut(stretch.from_m, stretch.to_m)
        if part is None:
            continue
        base = layout.grid.level_m(stretch.base)
        a, b = (stretch.interval.at(station).front_m for station in part)
        canvas.area(
            [
                (row.x(part[0]), row.y(base)),
                (row.x(part[1]), row.y(base)),
                (row.x(part[1]), row.y(max(base, b))),
                (row.x(part[0]), row.y(max(base, a))),
            ],
            hatch="buried",
            wide=0,
        )


def _draw_layers(canvas: Canvas, layout: WallLayout, row: ElevationRow, quote: Quote) -> None:
    """Layers of reinforcement as heavy dashes on their courses."""
    if not quote.reinforced:
        return
    for held in quote.screening.reinforcement:
        if held.wall != layout.name:
            continue
        for layer in held.layers:
            part = row.cut(layer.from_m, layer.to_m)
            if part:
                y = row.y(layout.grid.level_m(layer.joint))
                canvas.line([(row.x(part[0]), y), (row.x(part[1]), y)], wide=0.7, dash="2.4 1")


def _draw_grades(canvas: Canvas, layout: WallLayout, row: ElevationRow) -> None:
    """Ground in front as a heavy line, behind as a dashed one."""
    for stretch in layout.stretches:
        part = row.cut(stretch.from_m, stretch.to_m)
        if part is None:
            continue
        a, b = (stretch.interval.at(station) for station in part)
        xs = row.x(part[0]), row.x(part[1])
        canvas.line([(xs[0], row.y(a.front_m)), (xs[1], row.y(b.front_m))], wide=0.55)
        canvas.line([(xs[0], row.y(a.back_m)), (xs[1], row.y(b.back_m))], wide=0.3, dash="2 1.2")


def _write_levels(canvas: Canvas, layout: WallLayout, row: ElevationRow, writing: Writing) -> None:
    """Levels at both sides: top, ground in front, underside of the base."""
    for station, x, anchor in (
        (row.from_m, SIDE_MM - 1.5, "end"),
        (row.to_m, row.x(row.to_m) + 1.5, "start"),
    ):
        stretch = _stretch_at(layout, station)
        levels = stretch.interval.at(station)
        top = layout.grid.level_m(stretch.top_joint) + layout.system.cap_height_m
        base = layout.grid.level_m(stretch.base)
        for level in dict.fromkeys((top, levels.front_m, base)):
            moves = tuple((0.0, step * _LEVEL_STEP_MM) for step in (0, -1, 1, -2, 2))
            canvas.write(
                (x, row.y(level) + 0.9),
                writing.level(level),
                anchor="end" if anchor == "end" else "start",
                moves=moves,
            )


def _stretch_at(layout: WallLayout, station_m: float) -> Stretch:
    for stretch in layout.stretches:
        if stretch.from_m - 1e-9 <= station_m <= stretch.to_m + 1e-9:
            return stretch
    return layout.stretches[-1]


def _write_stations(
    canvas: Canvas, layout: WallLayout, row: ElevationRow, writing: Writing
) -> None:
    """Stations under the wall: its ends, steps of the base and of the top, corners."""
    low = row.y(_levels(layout)[0])
    marks = {0.0, layout.length_m, row.from_m, row.to_m}
    marks |= {step.station_m for step in layout.steps}
    marks |= {station for station, _ in layout.plan.corners}
    marks |= {
        after.from_m
        for before, after in pairwise(layout.stretches)
        if before.top_joint != after.top_joint
    }
    for mark in sorted(marks):
        if row.from_m - 1e-9 <= mark <= row.to_m + 1e-9:
            x = row.x(mark)
            canvas.line([(x, low + 1), (x, low + 3)], wide=0.2)
            moves = ((0.0, 0.0), (0.0, 3.2), (0.0, 6.4))
            canvas.write((x, low + 6), writing.length(mark), moves=moves)


def _match_lines(
    canvas: Canvas, row: ElevationRow, number: int, count: int, writing: Writing
) -> None:
    """Where a row goes on in another: the same letter stands at both."""
    words = writing.words
    for is_there, index, station in (
        (number > 0, number - 1, row.from_m),
        (number < count - 1, number, row.to_m),
    ):
        if is_there:
            x = row.x(station)
            canvas.line([(x, row.y_mm - 5), (x, row.y_mm + 2)], wide=0.5, dash="3 0.8 0.8 0.8")
            letter = chr(ord("A") + index)
            canvas.write((x, row.y_mm - 6), words.say("match line {letter}", letter=letter))
