"""The plan: every wall from above, each by itself, with stations, curves, corners and outlets."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from service.core.job.spec import Corner, Curve, EndKind
from service.core.layout.layout import WallLayout
from service.core.layout.profile import station_m
from service.core.quote import Quote
from service.core.takeoff.stone import drain_pipe
from service.documents.drawings.canvas import Canvas, Point
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.fitted import fitted, lines_of
from service.documents.drawings.plan_line import (
    PartDrawn,
    Place,
    moved,
    place_at,
    points_of,
    trace,
)
from service.documents.drawings.scale import MM_PER_M, draw_bar, round_scale
from service.documents.words import msgid

WIDTH_MM = 180.0
_MARGIN_MM = 14.0
_SIDE_MM = 24.0
_TALLEST_MM = 130.0
_HEAD_MM = 7.0
_FOOT_MM = 8.0
_LINE_MM = 4.0
_NOTE_MM = 70.0
_OUTLET_MM = 6.5
_GRADED_POINTS = 24
# How far a text moves on to find room.
_STEPS_MM = (0.0, 3.0, 6.0, 9.0, 12.0, 15.0)
_STATION_STEP_M = {"us": 10 * 0.3048, "metric": 3.0}
_ENDS: dict[EndKind, str] = {
    "open": msgid("open end"),
    "finished": msgid("finished end"),
    "into_grade": msgid("into the grade"),
    "against_structure": msgid("against a structure"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    """One wall as it lies: its parts, the line of the plan and the face of the top course."""

    layout: WallLayout
    drawn: tuple[PartDrawn, ...]
    line: list[Point]
    top: list[Point]
    top_m: float

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y, in meters."""
        points = [*self.line, *self.top]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class _View:
    """Turns meters on the ground into mm on the sheet: up is toward the soil."""

    left_m: float
    top_m: float
    scale: float
    x_mm: float
    y_mm: float

    def __call__(self, point: Point) -> Point:
        """A point on the sheet."""
        x, y = point
        per_m = MM_PER_M / self.scale
        return self.x_mm + (x - self.left_m) * per_m, self.y_mm + (self.top_m - y) * per_m


def draw_plan(quote: Quote, writing: Writing, wall: str | None = None) -> Drawing:
    """The plan of all walls, one scale for all of them."""
    panels = [_panel(layout) for layout in quote.layouts if wall in (None, layout.name)]
    scale = _scale_of(panels)
    heights = [_height_mm(panel, scale) for panel in panels]
    legend = lines_of(_meanings(quote, writing), WIDTH_MM - 4)
    canvas = Canvas(WIDTH_MM, sum(heights) + _FOOT_MM + len(legend) * _LINE_MM)
    top = 0.0
    for panel, height in zip(panels, heights, strict=True):
        left, _, _, high = panel.bounds
        view = _View(left, high, scale, _SIDE_MM, top + _HEAD_MM + _MARGIN_MM)
        name = fitted(panel.layout.name, WIDTH_MM - 4, 3.2, strong=True)
        canvas.write((2, top + 4), name, anchor="start", size=3.2, strong=True)
        _draw_panel(canvas, panel, view, quote, writing)
        top += height
    for index, line in enumerate(legend):
        canvas.write((2, top + 2 + index * _LINE_MM), line, anchor="start")
    draw_bar(canvas, (_SIDE_MM, canvas.height_mm - 4), scale, writing)
    words = writing.words
    names = ", ".join(panel.layout.name for panel in panels)
    return canvas.drawing(
        words.say("Plan"),
        words.say("Seen from above, the soil on the side of the dashed line: {walls}.",
                  walls=names),
    )  # fmt: skip


def _meanings(quote: Quote, writing: Writing) -> Iterator[str]:
    """What lines and marks mean, and areas that are graded elsewhere."""
    words = writing.words
    yield words.say("heavy line: face of the base course")
    yield words.say("dashed: face of the top course, on the side of the soil")
    if quote.job.section.pipe is not None:
        yield words.say("circle: drain outlet")
    away = [grading.name for grading in quote.job.grading if grading.beside is None]
    if away:
        yield words.say("graded clear of the walls: {areas}", areas=", ".join(away))


def _panel(layout: WallLayout) -> _Panel:
    drawn = trace(layout.spec.plan)
    line = points_of(drawn)
    highest = max(course.offset_m for course in layout.courses)
    return _Panel(layout=layout, drawn=drawn, line=line, top=moved(line, highest), top_m=highest)


def _scale_of(panels: list[_Panel]) -> float:
    """One scale at which every wall fits."""
    least = 1.0
    for panel in panels:
        left, low, right, high = panel.bounds
        least = max(
            least,
            (right - left) * MM_PER_M / (WIDTH_MM - 2 * _SIDE_MM),
            (high - low) * MM_PER_M / (_TALLEST_MM - 2 * _MARGIN_MM),
        )
    return round_scale(least)


def _height_mm(panel: _Panel, scale: float) -> float:
    _, low, _, high = panel.bounds
    return _HEAD_MM + 2 * _MARGIN_MM + (high - low) * MM_PER_M / scale


def _draw_panel(canvas: Canvas, panel: _Panel, view: _View, quote: Quote, writing: Writing) -> None:
    canvas.line([view(point) for point in panel.line], wide=0.6)
    if panel.top:
        canvas.line([view(point) for point in panel.top], wide=0.25, dash="1.5 1")
    _corners(canvas, panel, view, writing)
    _stations(canvas, panel, view, writing)
    _parts(canvas, panel, view, writing)
    _ends(canvas, panel, view, writing)
    _outlets(canvas, panel, view, quote)
    _tiers(canvas, panel, view, quote, writing)
    _graded(canvas, panel, view, quote, writing)


def _beside(place: Place, view: _View, mm: float) -> Point:
    """So many mm from a place: toward the soil above 0, in front of the wall below."""
    x, y = view(place.at)
    heading = place.heading_rad
    return x - mm * math.sin(heading), y - mm * math.cos(heading)


def _toward_soil(place: Place) -> Point:
    """The direction of the soil on the sheet."""
    return -math.sin(place.heading_rad), -math.cos(place.heading_rad)


def _write_behind(canvas: Canvas, panel: _Panel, view: _View, place: Place, text: str) -> None:
    """A text on the side of the soil, clear of the top course."""
    off = panel.top_m * MM_PER_M / view.scale + 1.2
    canvas.write_beside(_beside(place, view, off), _toward_soil(place), text, steps=_STEPS_MM)


def _write_before(
    canvas: Canvas, view: _View, place: Place, text: str, *, off_mm: float = 2.4
) -> bool:
    """A text in front of the wall."""
    x, y = _toward_soil(place)
    return canvas.write_beside(_beside(place, view, -off_mm), (-x, -y), text)


def _ends(canvas: Canvas, panel: _Panel, view: _View, writing: Writing) -> None:
    spec, words = panel.layout.spec, writing.words
    first, last = panel.drawn[0].places[0], panel.drawn[-1].places[-1]
    for place, kind in ((first, spec.ends.start), (last, spec.ends.finish)):
        canvas.line([_beside(place, view, 2.5), _beside(place, view, -2.0)], wide=0.5)
        _write_behind(canvas, panel, view, place, words.say(_ENDS[kind]))


def _corners(canvas: Canvas, panel: _Panel, view: _View, writing: Writing) -> None:
    """The angle of each corner, outside of the bend."""
    for drawn in panel.drawn:
        if isinstance(drawn.part, Corner):
            before, after = drawn.places
            middle = (before.heading_rad + after.heading_rad) / 2
            way = 1.0 if drawn.part.side == "outside" else -1.0
            away = way * math.sin(middle), way * math.cos(middle)
            degrees = writing.words.figure(f"{math.degrees(drawn.part.angle_rad):.4g}")
            text = writing.words.say("{degrees} deg", degrees=degrees)
            (x, y), off = view(before.at), 1.5
            if way < 0:  # the top course turns farther out
                off += panel.top_m * MM_PER_M / view.scale / math.cos(drawn.part.angle_rad / 2)
            tip = x + off * away[0], y + off * away[1]
            canvas.write_beside(tip, away, text, steps=_STEPS_MM)


def _parts(canvas: Canvas, panel: _Panel, view: _View, writing: Writing) -> None:
    """Lengths of straights, lengths and radii of curves."""
    for drawn in panel.drawn:
        part, places = drawn.part, drawn.places
        if isinstance(part, Curve):
            radius, length = writing.length(part.radius_m), writing.length(part.length_m)
            text = writing.words.say("{length}, radius {radius}", length=length, radius=radius)
            _write_behind(canvas, panel, view, places[len(places) // 2], text)
        elif part.length_m > 0:
            half = _midway(places[0], places[-1])
            _write_behind(canvas, panel, view, half, writing.length(part.length_m))


def _midway(one: Place, other: Place) -> Place:
    at = (one.at[0] + other.at[0]) / 2, (one.at[1] + other.at[1]) / 2
    return Place(station_m=0.0, at=at, heading_rad=one.heading_rad)


def _stations(canvas: Canvas, panel: _Panel, view: _View, writing: Writing) -> None:
    """Ticks in front of the wall; a text where there is room for it, at the ends first."""
    step, length = _STATION_STEP_M[writing.units], panel.layout.length_m
    count = math.ceil(length / step - 1e-9)
    for station in (0.0, length, *(number * step for number in range(1, count))):
        place = place_at(panel.drawn, station)
        canvas.line([_beside(place, view, 0), _beside(place, view, -2)], wide=0.2)
        _write_before(canvas, view, place, writing.length(station))


def _outlets(canvas: Canvas, panel: _Panel, view: _View, quote: Quote) -> None:
    """As many outlets as are counted, spread evenly: where each lies is for the site to say."""
    pipe = quote.job.section.pipe
    if pipe is None:
        return
    count = drain_pipe(panel.layout, pipe).outlets
    for number in range(count):
        place = place_at(panel.drawn, panel.layout.length_m * (number + 0.5) / count)
        tip = _beside(place, view, -_OUTLET_MM)
        canvas.line([_beside(place, view, 0), tip], wide=0.35, dash="0.8 0.6")
        canvas.circle(tip, 0.7)


def _tiers(canvas: Canvas, panel: _Panel, view: _View, quote: Quote, writing: Writing) -> None:
    for tier in quote.job.tiers:
        if tier.upper == panel.layout.name:
            text = writing.words.say(
                "{offset} behind {lower}", offset=writing.length(tier.offset_m), lower=tier.lower
            )
            half = place_at(panel.drawn, panel.layout.length_m / 2)
            _write_before(canvas, view, half, fitted(text, _NOTE_MM), off_mm=_OUTLET_MM + 2)


def _graded(canvas: Canvas, panel: _Panel, view: _View, quote: Quote, writing: Writing) -> None:
    """Where areas that are graded beside the wall begin, and their names."""
    for grading in quote.job.grading:
        beside = grading.beside
        if beside is None or beside.wall != panel.layout.name:
            continue
        plan = panel.layout.plan
        ends = station_m(beside.from_station, plan), station_m(beside.to_station, plan)
        off = beside.from_m if beside.side == "behind" else -beside.from_m
        marks = [
            ends[0] + (ends[1] - ends[0]) * n / _GRADED_POINTS for n in range(_GRADED_POINTS + 1)
        ]
        places = [place_at(panel.drawn, mark) for mark in marks]
        canvas.line([view(place.beside(off)) for place in places], wide=0.3, dash="0.5 1")
        text = fitted(writing.words.say("graded: {area}", area=grading.name), _NOTE_MM)
        middle = places[_GRADED_POINTS // 2]
        x, y = _toward_soil(middle)
        way = 1.0 if beside.side == "behind" else -1.0
        tip = view(middle.beside(off + way * 1.2 * view.scale / MM_PER_M))
        canvas.write_beside(tip, (way * x, way * y), text, steps=_STEPS_MM)
