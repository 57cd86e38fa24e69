"""The elevation: a wall from the front, unrolled along its plan line, in rows where it is long.

Courses, runs, legs, caps and layers are those of the layout.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from service.core.built import Built
from service.core.job.reinforcement import Layer
from service.core.layout.courses import Course
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.documents.drawings.canvas import Anchor, Canvas, Point
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.elevation_rows import (
    SIDE_MM,
    WIDTH_MM,
    Row,
    level_range,
    rows_mm,
    rows_of,
)
from service.documents.drawings.fitted import fitted, lines_of
from service.documents.drawings.scale import draw_bar
from service.documents.drawings.unit_joints import cap_joints, covered_stations, leg_joints

_BAR_MM = 8.0
_LINE_MM = 3.8
_LEVEL_STEP_MM = 3.4
_LETTERS = 26
_LENGTH_MM = 3.0


def draw_elevation(quote: Built, writing: Writing, wall: str | None = None) -> Drawing:
    """The elevation of one wall: the first where none is named."""
    layouts = {layout.name: layout for layout in quote.layouts}
    layout = layouts[wall] if wall is not None else quote.layouts[0]
    rows, layers = rows_of(layout), tuple(_layers_of(quote, layout))
    legend = lines_of(_meanings(layout, writing, layered=bool(layers)), WIDTH_MM - 4)
    drawn = rows_mm(rows, layout)
    canvas = Canvas(WIDTH_MM, drawn + _BAR_MM + len(legend) * _LINE_MM)
    name = fitted(layout.name, WIDTH_MM / 2, 3.2, strong=True)
    canvas.write((2, 4), name, anchor="start", size=3.2, strong=True)
    for number, row in enumerate(rows):
        _draw_row(canvas, layout, row, layers, writing)
        _match_lines(canvas, layout, row, (number, len(rows)), writing)
    for index, line in enumerate(legend):
        canvas.write((2, drawn + 2 + index * _LINE_MM), line, anchor="start")
    draw_bar(canvas, (SIDE_MM, canvas.height_mm - 4), rows[0].scale, writing)
    words = writing.words
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


def _layers_of(quote: Built, layout: WallLayout) -> Iterator[Layer]:
    """Layers of the wall that are part of the quote."""
    for held in quote.screening.reinforcement if quote.reinforced else ():
        if held.wall == layout.name:
            yield from held.layers


def _meanings(layout: WallLayout, writing: Writing, *, layered: bool) -> Iterator[str]:
    """What lines and hatches mean."""
    words = writing.words
    yield words.say("heavy line: ground in front")
    yield words.say("dashed line: ground behind")
    yield words.say("hatched: buried")
    if layout.system.corner is not None and any(
        leg.corner_units for course in layout.courses for run in course.runs for leg in run.legs
    ):
        yield words.say("gray: corner units")
    if layered:
        yield words.say("heavy dashes: layers of reinforcement, preliminary")


def _draw_row(
    canvas: Canvas, layout: WallLayout, row: Row, layers: tuple[Layer, ...], writing: Writing
) -> None:
    for course in layout.courses:
        _draw_course(canvas, layout, course, row)
    _draw_caps(canvas, layout, row)
    _draw_corners(canvas, layout, row)
    _draw_buried(canvas, layout, row)
    for layer in layers:
        if part := row.cut(layer.from_m, layer.to_m):
            y = row.y(layout.grid.level_m(layer.joint))
            canvas.line([(row.x(part[0]), y), (row.x(part[1]), y)], wide=0.7, dash="2.4 1")
    _draw_grades(canvas, layout, row)
    _measure_length(canvas, row, writing)
    _write_levels(canvas, layout, row, writing)
    _write_stations(canvas, layout, row, writing)


def _draw_course(canvas: Canvas, layout: WallLayout, course: Course, row: Row) -> None:
    """A course as outlines of its runs, corner units gray, all of its joints one path."""
    low, high = course.elevation_m, course.elevation_m + layout.grid.course_m
    unit, stations = layout.system.standard.face_length_m, []
    for run in course.runs:
        part = row.cut(run.from_station_m, run.to_station_m)
        if part is None:
            continue
        canvas.area(row.box(*part, low, high), fill="#ffffff")
        for leg in run.legs:
            stations += leg_joints(leg, course, unit)
            for covered in covered_stations(leg) if layout.system.corner else ():
                if inside := row.cut(*covered):
                    canvas.area(row.box(*inside, low, high), fill="#d0d0d0")
    canvas.strokes(
        [(row.x(at), row.y(low)), (row.x(at), row.y(high))]
        for at in stations
        if row.from_m < at < row.to_m
    )


def _draw_caps(canvas: Canvas, layout: WallLayout, row: Row) -> None:
    """Caps over the top course, all of their joints one path."""
    cap = layout.system.cap
    if cap is None:
        return
    joints: list[list[Point]] = []
    for run in layout.caps:
        low = layout.grid.level_m(run.joint)
        if part := row.cut(run.from_station_m, run.to_station_m):
            canvas.area(row.box(*part, low, low + cap.height_m), fill="#f0f0f0")
        joints += [
            [(row.x(at), row.y(low)), (row.x(at), row.y(low + cap.height_m))]
            for leg in run.legs
            for at in cap_joints(leg, cap.face_length_m)
            if row.from_m < at < row.to_m
        ]
    canvas.strokes(joints)


def _draw_corners(canvas: Canvas, layout: WallLayout, row: Row) -> None:
    """Where the face turns: an upright line over all courses there."""
    for station, _ in layout.plan.corners:
        if row.has(station):
            stretch, x = _stretch_at(layout, station), row.x(station)
            low, high = (layout.grid.level_m(joint) for joint in (stretch.base, stretch.top_joint))
            top = high + layout.system.cap_height_m
            canvas.line([(x, row.y(low)), (x, row.y(top))], wide=0.5)


def _draw_buried(canvas: Canvas, layout: WallLayout, row: Row) -> None:
    """What of the wall stands below the ground in front."""
    for stretch in layout.stretches:
        part = row.cut(stretch.from_m, stretch.to_m)
        if part is None:
            continue
        base = layout.grid.level_m(stretch.base)
        first, last = (max(base, stretch.interval.at(at).front_m) for at in part)
        a, b = row.x(part[0]), row.x(part[1])
        low, left, right = row.y(base), row.y(first), row.y(last)
        canvas.area([(a, low), (b, low), (b, right), (a, left)], hatch="buried", wide=0)


def _draw_grades(canvas: Canvas, layout: WallLayout, row: Row) -> None:
    """Ground in front as a heavy line, behind as a dashed one."""
    front: list[Point] = []
    behind: list[Point] = []
    for stretch in layout.stretches:
        for at in row.cut(stretch.from_m, stretch.to_m) or ():
            levels = stretch.interval.at(at)
            front.append((row.x(at), row.y(levels.front_m)))
            behind.append((row.x(at), row.y(levels.back_m)))
    canvas.line(behind, wide=0.35, dash="2 1.2")
    canvas.line(front, wide=0.55)


def _measure_length(canvas: Canvas, row: Row, writing: Writing) -> None:
    """How long the row is, above it."""
    left, right, y = row.x(row.from_m), row.x(row.to_m), row.y_mm - _LENGTH_MM
    canvas.measure((left, y), (right, y))
    canvas.write(((left + right) / 2, y - 1), writing.length(row.to_m - row.from_m))


def _write_levels(canvas: Canvas, layout: WallLayout, row: Row, writing: Writing) -> None:
    """Levels at both sides: top, ground in front, underside of the base."""
    sides: tuple[tuple[float, float, Anchor], ...] = (
        (row.from_m, SIDE_MM - 1.5, "end"),
        (row.to_m, row.x(row.to_m) + 1.5, "start"),
    )
    for station, x, anchor in sides:
        stretch = _stretch_at(layout, station)
        levels = stretch.interval.at(station)
        top = layout.grid.level_m(stretch.top_joint) + layout.system.cap_height_m
        base = layout.grid.level_m(stretch.base)
        moves = tuple((0.0, step * _LEVEL_STEP_MM) for step in (0, -1, 1, -2, 2))
        for level in dict.fromkeys((top, levels.front_m, base)):
            at = (x, row.y(level) + 0.9)
            canvas.write(at, writing.level(level), anchor=anchor, moves=moves)


def _stretch_at(layout: WallLayout, station_m: float) -> Stretch:
    for stretch in layout.stretches:
        if stretch.from_m - 1e-9 <= station_m <= stretch.to_m + 1e-9:
            return stretch
    return layout.stretches[-1]


def _write_stations(canvas: Canvas, layout: WallLayout, row: Row, writing: Writing) -> None:
    """Stations under the wall: its ends, steps of the base and of the top, corners."""
    low = row.y(level_range(layout)[0])
    marks = {row.from_m, row.to_m, *(step.station_m for step in layout.steps)}
    marks |= {station for station, _ in layout.plan.corners}
    marks |= {
        after.from_m
        for before, after in pairwise(layout.stretches)
        if before.top_joint != after.top_joint
    }
    moves = ((0.0, 0.0), (0.0, 3.2), (0.0, 6.4))
    here = {round(mark, 6): mark for mark in sorted(marks) if row.has(mark)}
    ends = round(row.from_m, 6), round(row.to_m, 6)
    for _, mark in sorted(here.items(), key=lambda pair: (pair[0] not in ends, pair[0])):
        x = row.x(mark)
        canvas.line([(x, low + 1), (x, low + 3)], wide=0.2)
        canvas.write((x, low + 6), writing.length(mark), moves=moves)


def _match_lines(
    canvas: Canvas, layout: WallLayout, row: Row, place: tuple[int, int], writing: Writing
) -> None:
    """Where a row goes on in another: the same letter stands at both. `place` is its number of how
    many."""
    number, count = place
    low = row.y(level_range(layout)[0])
    for is_there, index, station in (
        (number > 0, number - 1, row.from_m),
        (number < count - 1, number, row.to_m),
    ):
        if is_there:
            x, letter = row.x(station), _letter(index)
            canvas.line([(x, row.y_mm - 4), (x, low + 2.5)], wide=0.5, dash="3 0.8 0.8 0.8")
            text = writing.words.say("match line {letter}", letter=letter)
            canvas.write((x, row.y_mm - 5), text, moves=((0.0, 0.0), (0.0, 3.2)))


def _letter(index: int) -> str:
    """A to Z, then AA and so on."""
    rest, last = divmod(index, _LETTERS)
    return (_letter(rest - 1) if rest else "") + chr(ord("A") + last)
