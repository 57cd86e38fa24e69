"""The section: a wall cut through where it is highest, with pad, stone, pipe, layers and ground."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.core.job.spec import LoadAbove
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.layout.profile import Levels
from service.core.quote import Quote
from service.documents.drawings.canvas import Canvas, Point, around
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.scale import MM_PER_M, draw_bar, round_scale

WIDTH_MM = 180.0
_TALLEST_MM = 110.0
_TOP_MM = 12.0
_FOOT_MM = 10.0
_LEGEND_MM = 62.0
_ROW_MM = 4.2
_PIPE_M = 0.1  # as it is drawn: its size is that of the item


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cut:
    """What is cut through: the stretch, its levels, and how meters come onto the sheet."""

    layout: WallLayout
    stretch: Stretch
    station_m: float
    levels: Levels
    left_m: float
    high_m: float
    scale: float

    def at(self, offset_m: float, level_m: float) -> Point:
        """An offset from the plan line, toward the soil, and a level, on the sheet."""
        per_m = MM_PER_M / self.scale
        return 4 + (offset_m - self.left_m) * per_m, _TOP_MM + (self.high_m - level_m) * per_m

    @property
    def base_m(self) -> float:
        """Underside of the base course there."""
        return self.layout.grid.level_m(self.stretch.base)

    @property
    def top_m(self) -> float:
        """Top of the courses there, cap not counted."""
        return self.layout.grid.level_m(self.stretch.top_joint)

    def face_m(self, joint: int) -> float:
        """Face of the course on a joint, behind the plan line."""
        return self.layout.offset_m(joint)


def draw_section(quote: Quote, writing: Writing, wall: str | None = None) -> Drawing:
    """The section of one wall at its highest place: of the first where none is named."""
    layouts = {layout.name: layout for layout in quote.layouts}
    layout = layouts[wall] if wall is not None else quote.layouts[0]
    cut, far = _place(quote, layout)
    height = _TOP_MM + (cut.high_m - _lowest(quote, cut)) * MM_PER_M / cut.scale + _FOOT_MM
    canvas = Canvas(WIDTH_MM, max(height, _TOP_MM + 12 * _ROW_MM + _FOOT_MM))
    _draw_ground(canvas, cut, far)
    _draw_cut_line(canvas, quote, cut, far)
    _draw_stone(canvas, quote, cut)
    _draw_pad(canvas, quote, cut)
    _draw_units(canvas, cut)
    _draw_layers(canvas, quote, cut)
    _draw_loads(canvas, cut, far, writing)
    _write_legend(canvas, quote, cut, writing)
    canvas.write((2, 5), layout.name, anchor="start", size=3.2, strong=True)
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


def _place(quote: Quote, layout: WallLayout) -> tuple[_Cut, float]:
    """The highest stretch, at the end where it shows most, and how far back is drawn."""
    stretch = max(
        layout.stretches,
        key=lambda s: (
            s.top_joint - s.base,
            max(s.interval.start.exposed_m, s.interval.finish.exposed_m),
        ),
    )
    ends = ((stretch.from_m, stretch.interval.start), (stretch.to_m, stretch.interval.finish))
    station, levels = max(ends, key=lambda end: end[1].exposed_m)
    height = layout.built_height_m(stretch)
    depth = layout.system.standard.depth_m
    reach = max((_reach(quote, layout)), quote.job.section.drainage.width_m + depth)
    far = max(reach * 1.2, height * 1.3, depth * 3)
    left = -max(0.6 * height, 0.5)
    high = max(layout.built_top_m, levels.back_m + far * max(0.0, layout.spec.back_slope)) + 0.4
    wide = WIDTH_MM - _LEGEND_MM - 8
    low = layout.grid.level_m(stretch.base) - 0.6
    least = max((far - left) * MM_PER_M / wide, (high - low) * MM_PER_M / _TALLEST_MM)
    cut = _Cut(
        layout=layout,
        stretch=stretch,
        station_m=station,
        levels=levels,
        left_m=left,
        high_m=high,
        scale=round_scale(least),
    )
    return cut, far


def _reach(quote: Quote, layout: WallLayout) -> float:
    """How far layers reach behind the face; 0 without any in the quote."""
    held = quote.screening.reinforcement if quote.reinforced else ()
    return max((each.reach_m for each in held if each.wall == layout.name), default=0.0)


def _lowest(quote: Quote, cut: _Cut) -> float:
    pad = quote.job.section.leveling_pad
    return min(cut.base_m - pad.thickness_m - pad.overdig_m, cut.levels.front_m) - 0.25


def _draw_ground(canvas: Canvas, cut: _Cut, far: float) -> None:
    """Finished ground in front and behind, falling and rising as the request says."""
    spec, levels = cut.layout.spec, cut.levels
    front = [(cut.left_m, levels.front_m + spec.front_slope * cut.left_m), (0.0, levels.front_m)]
    behind = cut.face_m(cut.stretch.top_joint - 1) + cut.layout.system.standard.depth_m
    rise = (far - behind) * max(0.0, spec.back_slope)
    back = [(behind, levels.back_m), (far, levels.back_m + rise)]
    low = cut.base_m - 0.5
    canvas.area(
        [cut.at(*front[0]), cut.at(*front[1]), cut.at(0.0, low), cut.at(cut.left_m, low)],
        hatch="earth",
        wide=0,
    )
    canvas.area(
        [cut.at(*back[0]), cut.at(*back[1]), cut.at(far, low), cut.at(behind, low)],
        hatch="earth",
        wide=0,
    )
    floor = cut.base_m - 0.05
    canvas.area(
        [cut.at(0.0, floor), cut.at(behind, floor), cut.at(behind, low), cut.at(0.0, low)],
        hatch="earth",
        wide=0,
    )
    canvas.line([cut.at(*point) for point in front], wide=0.55)
    canvas.line([cut.at(*point) for point in back], wide=0.55)


def _draw_cut_line(canvas: Canvas, quote: Quote, cut: _Cut, far: float) -> None:
    """The face of the cut behind the wall, where the ground was given."""
    earth = quote.earthwork
    walls = earth.walls if earth else ()
    slope = next((wall.cut_slope for wall in walls if wall.wall == cut.layout.name), None)
    if slope is None:
        return
    section, system = quote.job.section, cut.layout.system
    room = section.excavation.working_room_m if section.excavation else 0.0
    face = cut.face_m(cut.stretch.base)
    floor = face + max(
        system.standard.depth_m + section.drainage.width_m, _reach(quote, cut.layout)
    )
    floor += room
    rise = cut.levels.back_m - cut.base_m
    end = min(far, floor + slope * rise)
    top = cut.base_m + ((end - floor) / slope if slope > 0 else rise)
    canvas.line([cut.at(floor, cut.base_m), cut.at(end, top)], wide=0.4, dash="4 1 1 1")


def _draw_stone(canvas: Canvas, quote: Quote, cut: _Cut) -> None:
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


def _draw_pad(canvas: Canvas, quote: Quote, cut: _Cut) -> None:
    pad, face = quote.job.section.leveling_pad, cut.face_m(cut.stretch.base)
    front = face - pad.front_extension_m
    rear = face + cut.layout.system.standard.depth_m + pad.rear_extension_m + pad.overdig_m
    low = cut.base_m - pad.thickness_m - pad.overdig_m
    corners = [(front, low), (rear, low), (rear, cut.base_m), (front, cut.base_m)]
    points = [cut.at(*corner) for corner in corners]
    canvas.area(points, fill="#ffffff")
    canvas.area(points, hatch="stone")


def _draw_units(canvas: Canvas, cut: _Cut) -> None:
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


def _draw_layers(canvas: Canvas, quote: Quote, cut: _Cut) -> None:
    held = quote.screening.reinforcement if quote.reinforced else ()
    for each in held:
        if each.wall != cut.layout.name:
            continue
        for layer in each.layers:
            if layer.from_m - 1e-9 <= cut.station_m <= layer.to_m + 1e-9:
                face = cut.face_m(layer.joint - 1)
                level = cut.layout.grid.level_m(layer.joint)
                canvas.line([cut.at(face, level), cut.at(face + layer.length_m, level)], wide=0.7)


def _draw_loads(canvas: Canvas, cut: _Cut, far: float, writing: Writing) -> None:
    """What stands or drives on the ground behind, as arrows from where it begins."""
    face = cut.face_m(cut.stretch.top_joint - 1)
    for load in cut.layout.spec.above:
        begins = face + load.from_m
        if load.load_pa and begins < far:
            _draw_load(canvas, cut, (begins, far), load, writing)


def _draw_load(
    canvas: Canvas, cut: _Cut, reach: tuple[float, float], load: LoadAbove, writing: Writing
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


def _write_legend(canvas: Canvas, quote: Quote, cut: _Cut, writing: Writing) -> None:
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
    if quote.earthwork:
        lines.append(words.say("face of the cut, long dashes"))
    if _reach(quote, cut.layout):
        lines.append(words.say("layers of reinforcement, heavy lines"))
        lines.append(words.say("preliminary: an engineer designs it"))
    x = WIDTH_MM - _LEGEND_MM
    for number, line in enumerate(lines):
        canvas.write((x, _TOP_MM + number * _ROW_MM), line, anchor="start")
