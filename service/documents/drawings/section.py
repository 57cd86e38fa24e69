"""The section: a wall cut through where it is highest, with pad, stone, pipe, layers and ground."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from service.core.built import Built
from service.core.job.spec import LoadAbove
from service.core.rounding import CLOSE_M
from service.documents.drawings.canvas import Canvas, Point, around
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.fitted import fitted
from service.documents.drawings.scale import MM_PER_M, draw_bar
from service.documents.drawings.section_ground import draw_ground
from service.documents.drawings.section_place import (
    LEGEND_MM,
    TOP_MM,
    WIDTH_MM,
    Cut,
    cut_face,
    layer_reach_m,
    lowest_m,
    place_cut,
)

_FOOT_MM = 10.0
_ROW_MM = 4.2
_MOST_LINES = 17
# Heights are measured so far in front of the plan line, as a share of what is drawn there.
_MEASURED_AT = 0.4
_PIPE_M = 0.1  # as it is drawn: its size is that of the item


def draw_section(quote: Built, writing: Writing, wall: str | None = None) -> Drawing:
    """The section of one wall at its highest place: of the first where none is named."""
    layouts = {layout.name: layout for layout in quote.layouts}
    layout = layouts[wall] if wall is not None else quote.layouts[0]
    cut, far = place_cut(quote, layout)
    height = TOP_MM + (cut.high_m - lowest_m(quote, cut)) * MM_PER_M / cut.scale + _FOOT_MM
    canvas = Canvas(WIDTH_MM, max(height, TOP_MM + _MOST_LINES * _ROW_MM + _FOOT_MM))
    draw_ground(canvas, quote, cut, far)
    _draw_stone(canvas, quote, cut)
    _draw_pad(canvas, quote, cut)
    _draw_units(canvas, cut)
    _draw_layers(canvas, quote, cut)
    _draw_loads(canvas, cut, far, writing)
    _measure_heights(canvas, cut, writing)
    _write_legend(canvas, quote, cut, writing)
    name = fitted(layout.name, WIDTH_MM - 4, 3.2, strong=True)
    canvas.write((2, 5), name, anchor="start", size=3.2, strong=True)
    draw_bar(canvas, (4, canvas.height_mm - 4), cut.scale, writing)
    words = writing.words
    station = writing.length(cut.station_m)
    return canvas.drawing(
        words.say("Section of {wall} at station {station}", wall=layout.name, station=station),
        words.say(
            "Cut through where the wall is highest: {courses} courses, {shown} over the ground in "
            "front, {buried} of it buried.",
            courses=cut.stretch.top_joint - cut.stretch.base,
            shown=writing.length(cut.levels.exposed_m),
            buried=writing.length(cut.levels.front_m - cut.base_m),
        ),
    )


def _draw_stone(canvas: Canvas, quote: Built, cut: Cut) -> None:
    """Drainage stone behind each course, the fabric behind it, the pipe at its foot."""
    section, depth = quote.job.section, cut.layout.system.standard.depth_m
    course, wide = cut.layout.grid.course_m, section.drainage.width_m
    highest = cut.levels.top_m - section.drainage.stops_below_top_m
    back: list[Point] = []
    for joint in range(cut.stretch.base, cut.stretch.top_joint):
        low = cut.layout.grid.level_m(joint)
        high = min(low + course, highest)
        if high <= low:
            break
        rear = cut.face_m(joint) + depth
        corners = [(rear, low), (rear + wide, low), (rear + wide, high), (rear, high)]
        canvas.area([cut.at(*corner) for corner in corners], fill="#ffffff", wide=0)
        canvas.area([cut.at(*corner) for corner in corners], hatch="stone", wide=0)
        back += [cut.at(rear + wide, low), cut.at(rear + wide, high)]
    if back and section.filter_fabric:
        canvas.line(back, wide=0.45, dash="1 0.7")
    if section.pipe:
        center = cut.face_m(cut.stretch.base) + depth + _PIPE_M
        radius = _PIPE_M / 2 * MM_PER_M / cut.scale
        canvas.circle(cut.at(center, cut.base_m + _PIPE_M), radius)


def _draw_pad(canvas: Canvas, quote: Built, cut: Cut) -> None:
    pad, face = quote.job.section.leveling_pad, cut.face_m(cut.stretch.base)
    front = face - pad.front_extension_m
    rear = face + cut.layout.system.standard.depth_m + pad.rear_extension_m + pad.overdig_m
    low = cut.base_m - pad.thickness_m - pad.overdig_m
    corners = [(front, low), (rear, low), (rear, cut.base_m), (front, cut.base_m)]
    points = [cut.at(*corner) for corner in corners]
    canvas.area(points, fill="#ffffff")
    canvas.area(points, hatch="stone")


def _draw_units(canvas: Canvas, cut: Cut) -> None:
    system, course = cut.layout.system, cut.layout.grid.course_m
    for joint in range(cut.stretch.base, cut.stretch.top_joint):
        face, low = cut.face_m(joint), cut.layout.grid.level_m(joint)
        rear = face + system.standard.depth_m
        corners = [(face, low), (rear, low), (rear, low + course), (face, low + course)]
        canvas.area([cut.at(*corner) for corner in corners], fill="#ffffff", wide=0.4)
    if system.cap:
        front = cut.face_m(cut.stretch.top_joint - 1) - system.cap_overhang_m
        rear, top = front + system.cap.depth_m, cut.top_m + system.cap.height_m
        corners = [(front, cut.top_m), (rear, cut.top_m), (rear, top), (front, top)]
        canvas.area([cut.at(*corner) for corner in corners], fill="#f2f2f2", wide=0.4)


def _draw_layers(canvas: Canvas, quote: Built, cut: Cut) -> None:
    held = quote.screening.reinforcement if quote.reinforced else ()
    for each in held:
        if each.wall != cut.layout.name:
            continue
        for layer in each.layers:
            if layer.from_m - 1e-9 <= cut.station_m <= layer.to_m + 1e-9:
                face = cut.face_m(layer.joint - 1)
                level = cut.layout.grid.level_m(layer.joint)
                canvas.line([cut.at(face, level), cut.at(face + layer.length_m, level)], wide=0.7)


def _draw_loads(canvas: Canvas, cut: Cut, far: float, writing: Writing) -> None:
    """What stands or drives on the ground behind, as arrows from where it begins."""
    face = cut.face_m(cut.stretch.top_joint - 1)
    for load in cut.layout.spec.above:
        begins = face + load.from_m
        if load.load_pa and begins < far:
            _draw_load(canvas, cut, (begins, far), load, writing)


def _draw_load(
    canvas: Canvas, cut: Cut, reach: tuple[float, float], load: LoadAbove, writing: Writing
) -> None:
    start, y = cut.at(reach[0], cut.levels.back_m)
    end, _ = cut.at(reach[1], cut.levels.back_m)
    arrows = max(2, math.floor((end - start) / 8))
    for number in range(arrows + 1):
        x = start + (end - start) * number / arrows
        canvas.line([(x, y - 6), (x, y - 1)], wide=0.3)
        canvas.line([(x - 0.8, y - 2.2), (x, y - 1), (x + 0.8, y - 2.2)], wide=0.3)
    canvas.line([(start, y - 6), (end, y - 6)], wide=0.3)
    text = writing.words.say_data(load.title)
    canvas.write(((start + end) / 2, y - 7.5), text, moves=around(3.0, rows=3))


def _measure_heights(canvas: Canvas, cut: Cut, writing: Writing) -> None:
    """How much of the wall shows and how much is buried, upright in front of it."""
    top = cut.top_m + cut.layout.system.cap_height_m
    levels = [cut.base_m, max(cut.base_m, cut.levels.front_m), top]
    for low, high in pairwise(levels):
        if high - low > CLOSE_M:
            start, end = (
                cut.at(cut.left_m * _MEASURED_AT, low),
                cut.at(cut.left_m * _MEASURED_AT, high),
            )
            canvas.measure(start, end)
            middle = start[0] - 1.2, (start[1] + end[1]) / 2 + 0.9
            canvas.write(middle, writing.length(high - low), anchor="end", moves=around(3.0))


def _write_legend(canvas: Canvas, quote: Built, cut: Cut, writing: Writing) -> None:
    """What is seen, by number and size, beside the drawing."""
    words, section, system = writing.words, quote.job.section, cut.layout.system
    buried = cut.levels.front_m - cut.base_m
    lines = [
        words.say("shown {height}", height=writing.length(cut.levels.exposed_m)),
        words.say("buried {depth}", depth=writing.length(buried)),
        words.say("{count} courses of {height}", count=cut.stretch.top_joint - cut.stretch.base,
                  height=writing.detail(system.standard.height_m)),
        words.say("setback {setback} a course", setback=writing.detail(system.setback_m)),
        words.say("units {depth} deep", depth=writing.detail(system.standard.depth_m)),
        words.say("pad {depth} thick", depth=writing.detail(
            section.leveling_pad.thickness_m + section.leveling_pad.overdig_m)),
        words.say("drainage stone {width}", width=writing.detail(section.drainage.width_m)),
    ]  # fmt: skip
    if section.pipe:
        lines.append(words.say("drain pipe at its foot"))
    if section.filter_fabric:
        lines.append(words.say("fabric behind it, short dashes"))
    if cut_face(quote, cut.layout, cut.station_m):
        lines.append(words.say("face of the cut, long dashes"))
        lines.append(words.say("ground as it is, dotted"))
        lines.append(words.say("filled back, crosses"))
    lines += _soils(quote, writing)
    if layer_reach_m(quote, cut.layout):
        lines.append(words.say("layers of reinforcement, heavy lines"))
        lines.append(words.say("preliminary: an engineer designs it"))
    x = WIDTH_MM - LEGEND_MM
    for number, line in enumerate(lines):
        shown = fitted(line, LEGEND_MM - 2)
        canvas.write((x, TOP_MM + number * _ROW_MM), shown, anchor="start")


def _soils(quote: Built, writing: Writing) -> Iterator[str]:
    """The soils by name, where they were named."""
    words, soils = writing.words, quote.job.soils
    if soils.retained is not None:
        yield words.say("soil behind: {soil}", soil=words.say_data(soils.retained.title))
    if soils.fill is not None:
        yield words.say("fill: {soil}", soil=words.say_data(soils.fill.title))
    if soils.foundation is not None:
        yield words.say("soil below: {soil}", soil=words.say_data(soils.foundation.title))
