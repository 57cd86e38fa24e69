"""The plan: every wall from above, each by itself, with stations, curves, corners and outlets."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.core.job.spec import Corner, Curve, EndKind
from service.core.layout.layout import WallLayout
from service.core.quote import Quote
from service.core.takeoff.stone import drain_pipe
from service.documents.drawings.canvas import Canvas, Point, around
from service.documents.drawings.drawing import Drawing, Writing
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
_TALLEST_MM = 130.0
_HEAD_MM = 7.0
_FOOT_MM = 8.0
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
    canvas = Canvas(WIDTH_MM, sum(heights) + _FOOT_MM)
    top = 0.0
    for panel, height in zip(panels, heights, strict=True):
        left, _, _, high = panel.bounds
        view = _View(left, high, scale, _MARGIN_MM, top + _HEAD_MM + _MARGIN_MM)
        _draw_panel(canvas, panel, view, quote, writing)
        canvas.write((2, top + 4), panel.layout.name, anchor="start", size=3.2, strong=True)
        top += height
    draw_bar(canvas, (_MARGIN_MM, canvas.height_mm - 4), scale, writing)
    words = writing.words
    names = ", ".join(panel.layout.name for panel in panels)
    return canvas.drawing(
        words.say("Plan"),
        words.say("Seen from above, the soil at the top of the sheet: {walls}.", walls=names),
    )


def _panel(layout: WallLayout) -> _Panel:
    drawn = trace(layout.spec.plan)
    line = points_of(drawn)
    highest = max(course.offset_m for course in layout.courses)
    return _Panel(layout=layout, drawn=drawn, line=line, top=moved(line, highest))


def _scale_of(panels: list[_Panel]) -> float:
    """One scale at which every wall fits."""
    least = 1.0
    for panel in panels:
        left, low, right, high = panel.bounds
        least = max(
            least,
            (right - left) * MM_PER_M / (WIDTH_MM - 2 * _MARGIN_MM),
            (high - low) * MM_PER_M / (_TALLEST_MM - 2 * _MARGIN_MM),
        )
    return round_scale(least)


def _height_mm(panel: _Panel, scale: float) -> float:
    _, low, _, high = panel.bounds
    return _HEAD_MM + 2 * _MARGIN_MM + (high - low) * MM_PER_M / scale


def _draw_panel(canvas: Canvas, panel: _Panel, view: _View, quote: Quote, writing: Writing) -> None:
    canvas.line([view(point) for point in panel.line], wide=0.6)
    if panel.top:
        canvas.line([view(point) for point in panel.top], wide=0.2, dash="1.5 1")
    _ends(canvas, panel, view, writing)
    _parts(canvas, panel, view, writing)
    _stations(canvas, panel, view, writing)
    _outlets(canvas, panel, view, quote, writing)
    _tiers(canvas, panel, view, quote, writing)


def _beside(place: Place, view: _View, mm: float) -> Point:
    """So many mm from a place: toward the soil above 0, in front of the wall below."""
    x, y = view(place.at)
    heading = place.heading_rad
    return x - mm * math.sin(heading), y - mm * math.cos(heading)


def _ends(canvas: Canvas, panel: _Panel, view: _View, writing: Writing) -> None:
    spec, words = panel.layout.spec, writing.words
    first, last = panel.drawn[0].places[0], panel.drawn[-1].places[-1]
    for place, kind in ((first, spec.ends.start), (last, spec.ends.finish)):
        canvas.line([_beside(place, view, 2.5), _beside(place, view, -2.5)], wide=0.5)
        canvas.write(_beside(place, view, 6.5), words.say(_ENDS[kind]), moves=around(2.6, rows=4))


def _parts(canvas: Canvas, panel: _Panel, view: _View, writing: Writing) -> None:
    """Lengths of straights, radii of curves, angles of corners."""
    words = writing.words
    for drawn in panel.drawn:
        part, places = drawn.part, drawn.places
        middle = places[len(places) // 2]
        if isinstance(part, Corner):
            degrees = words.figure(f"{math.degrees(part.angle_rad):.4g}")
            canvas.write(
                _beside(places[0], view, 5.0),
                words.say("{degrees} deg", degrees=degrees),
                moves=around(2.8, rows=4),
            )
        elif isinstance(part, Curve):
            text = words.say("radius {radius}", radius=writing.length(part.radius_m))
            canvas.write(_beside(middle, view, 4.5), text, moves=around(2.8, rows=4))
        else:
            half = _midway(places[0], places[-1])
            text = writing.length(part.length_m)
            canvas.write(_beside(half, view, 4.5), text, moves=around(2.8, rows=4))


def _midway(one: Place, other: Place) -> Place:
    at = (one.at[0] + other.at[0]) / 2, (one.at[1] + other.at[1]) / 2
    return Place(station_m=0.0, at=at, heading_rad=one.heading_rad)


def _stations(canvas: Canvas, panel: _Panel, view: _View, writing: Writing) -> None:
    """Ticks in front of the wall; a text where there is room for it."""
    step, length = _STATION_STEP_M[writing.units], panel.layout.length_m
    count = math.ceil(length / step - 1e-9)
    for station in [*(number * step for number in range(count)), length]:
        place = place_at(panel.drawn, station)
        canvas.line([_beside(place, view, 0), _beside(place, view, -2)], wide=0.2)
        canvas.write(_beside(place, view, -4.6), writing.length(station))


def _outlets(canvas: Canvas, panel: _Panel, view: _View, quote: Quote, writing: Writing) -> None:
    """As many outlets as are counted, spread evenly: where each lies is for the site to say."""
    pipe = quote.job.section.pipe
    if pipe is None:
        return
    count = drain_pipe(panel.layout, pipe).outlets
    for number in range(count):
        place = place_at(panel.drawn, panel.layout.length_m * (number + 0.5) / count)
        tip = _beside(place, view, -6.5)
        canvas.line([_beside(place, view, 0), tip], wide=0.35, dash="0.8 0.6")
        canvas.circle(tip, 0.7)
        text = writing.words.say("drain outlet")
        canvas.write(_beside(place, view, -9.5), text, moves=around(2.6, rows=2))


def _tiers(canvas: Canvas, panel: _Panel, view: _View, quote: Quote, writing: Writing) -> None:
    for tier in quote.job.tiers:
        if tier.upper == panel.layout.name:
            text = writing.words.say(
                "{offset} behind {lower}", offset=writing.length(tier.offset_m), lower=tier.lower
            )
            half = place_at(panel.drawn, panel.layout.length_m / 2)
            canvas.write(_beside(half, view, -12), text, moves=around(2.8, rows=4))
