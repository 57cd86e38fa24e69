"""The plan: every wall from above, each by itself, with stations, curves, corners and outlets."""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.core.built import Built
from service.core.job.spec import Corner, Curve, EndKind
from service.core.takeoff.stone import drain_pipe
from service.documents.drawings.canvas import Canvas, Point
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.fitted import fitted, lines_of
from service.documents.drawings.plan_line import Place, place_at
from service.documents.drawings.plan_panels import Group, Panel, View, groups_of
from service.documents.drawings.scale import MM_PER_M, draw_bar, round_scale
from service.documents.words import msgid

WIDTH_MM = 180.0
_MARGIN_MM = 14.0
_SIDE_MM = 24.0
_TALLEST_MM = 130.0
_SHEET_MM = 215.0
_HEAD_MM = 7.0
_FOOT_MM = 8.0
_LINE_MM = 4.0
_NOTE_MM = 70.0
_OUTLET_MM = 6.5
# How far a text moves on to find room.
_STEPS_MM = (0.0, 3.0, 6.0, 9.0, 12.0, 15.0)
_STATION_STEP_M = {"us": 10 * 0.3048, "metric": 3.0}
_ENDS: dict[EndKind, str] = {
    "open": msgid("open end"),
    "finished": msgid("finished end"),
    "into_grade": msgid("into the grade"),
    "against_structure": msgid("against a structure"),
}


def draw_plan(quote: Built, writing: Writing, wall: str | None = None) -> Drawing:
    """The plan of all walls, one scale for all of them."""
    return _draw_groups(quote, groups_of(quote, wall), writing)


def draw_plan_sheets(quote: Built, writing: Writing) -> Iterator[Drawing]:
    """The plan of all walls as drawings that each fit on a page; tiers stay together."""
    sheet, groups = list[Group](), groups_of(quote)
    scale = _scale_of(groups)
    for group in groups:
        if sheet and sum(_height_mm(each, scale) for each in (*sheet, group)) > _SHEET_MM:
            yield _draw_groups(quote, tuple(sheet), writing)
            sheet = []
        sheet.append(group)
    yield _draw_groups(quote, tuple(sheet), writing)


def _draw_groups(quote: Built, groups: tuple[Group, ...], writing: Writing) -> Drawing:
    scale = _scale_of(groups)
    heights = [_height_mm(group, scale) for group in groups]
    legend = lines_of(_meanings(quote, writing), WIDTH_MM - 4)
    canvas = Canvas(WIDTH_MM, sum(heights) + _FOOT_MM + len(legend) * _LINE_MM)
    top = 0.0
    for group, height in zip(groups, heights, strict=True):
        _draw_group(canvas, group, (top, scale), quote, writing)
        top += height
    for index, line in enumerate(legend):
        canvas.write((2, top + 2 + index * _LINE_MM), line, anchor="start")
    draw_bar(canvas, (_SIDE_MM, canvas.height_mm - 4), scale, writing)
    words = writing.words
    names = ", ".join(panel.layout.name for group in groups for panel in group.panels)
    return canvas.drawing(
        words.say("Plan"),
        words.say("Seen from above, the soil on the side of the dashed line: {walls}.",
                  walls=names),
    )  # fmt: skip


def _draw_group(
    canvas: Canvas, group: Group, place: tuple[float, float], quote: Built, writing: Writing
) -> None:
    """A group under its names; `place` is where it begins on the sheet, and the scale."""
    (top, scale), (left, _, _, high) = place, group.bounds
    names = ", ".join(panel.layout.name for panel in group.panels)
    name = fitted(names, WIDTH_MM - 4, 3.2, strong=True)
    canvas.write((2, top + 4), name, anchor="start", size=3.2, strong=True)
    view = View(left, high, scale, _SIDE_MM, top + _HEAD_MM + _MARGIN_MM)
    for panel in group.panels:
        _draw_lines(canvas, panel, view.of(panel))
    for panel in group.panels:
        _write_panel(canvas, panel, view.of(panel), quote, writing)


def _meanings(quote: Built, writing: Writing) -> Iterator[str]:
    """What lines and marks mean, and areas that are graded elsewhere."""
    words = writing.words
    yield words.say("heavy line: face of the base course")
    yield words.say("dashed: face of the top course, on the side of the soil")
    if quote.job.section.pipe is not None:
        yield words.say("circle: drain outlet")
    if any(grading.beside for grading in quote.job.grading):
        yield words.say("dotted: graded")
    away = [grading.name for grading in quote.job.grading if grading.beside is None]
    if away:
        yield words.say("graded clear of the walls: {areas}", areas=", ".join(away))


def _scale_of(groups: tuple[Group, ...]) -> float:
    """One scale at which every group fits."""
    least = 1.0
    for group in groups:
        left, low, right, high = group.bounds
        least = max(
            least,
            (right - left) * MM_PER_M / (WIDTH_MM - 2 * _SIDE_MM),
            (high - low) * MM_PER_M / (_TALLEST_MM - 2 * _MARGIN_MM),
        )
    return round_scale(least)


def _height_mm(group: Group, scale: float) -> float:
    _, low, _, high = group.bounds
    return _HEAD_MM + 2 * _MARGIN_MM + (high - low) * MM_PER_M / scale


def _draw_lines(canvas: Canvas, panel: Panel, view: View) -> None:
    """Faces of base and top, and the edges of areas that are graded beside the wall."""
    canvas.line([view(point) for point in panel.line], wide=0.6)
    if panel.top:
        canvas.line([view(point) for point in panel.top], wide=0.25, dash="1.5 1")
    for band in panel.bands:
        edges = [band.edge(band.near_m)]
        if band.far_m is not None:
            far = band.edge(band.far_m)
            edges += [far, [edges[0][0], far[0]], [edges[0][-1], far[-1]]]
        for edge in edges:
            canvas.line([view(point) for point in edge], wide=0.3, dash="0.5 1")


def _write_panel(canvas: Canvas, panel: Panel, view: View, quote: Built, writing: Writing) -> None:
    """What is said of a wall, the weightiest first: what finds no room is left out."""
    _outlets(canvas, panel, view, quote)
    _corners(canvas, panel, view, writing)
    _stations(canvas, panel, view, writing)
    _parts(canvas, panel, view, writing)
    _ends(canvas, panel, view, writing)
    _tiers(canvas, panel, view, quote, writing)
    _graded(canvas, panel, view, writing)


def _beside(place: Place, view: View, mm: float) -> Point:
    """So many mm from a place: toward the soil above 0, in front of the wall below."""
    x, y = view(place.at)
    heading = place.heading_rad
    return x - mm * math.sin(heading), y - mm * math.cos(heading)


def _toward_soil(place: Place) -> Point:
    """The direction of the soil on the sheet."""
    return -math.sin(place.heading_rad), -math.cos(place.heading_rad)


def _write_behind(canvas: Canvas, panel: Panel, view: View, place: Place, text: str) -> None:
    """A text on the side of the soil, clear of the top course."""
    off = panel.top_m * MM_PER_M / view.scale + 1.2
    canvas.write_beside(_beside(place, view, off), _toward_soil(place), text, steps=_STEPS_MM)


def _write_before(
    canvas: Canvas, view: View, place: Place, text: str, *, off_mm: float = 2.4
) -> bool:
    """A text in front of the wall."""
    x, y = _toward_soil(place)
    return canvas.write_beside(_beside(place, view, -off_mm), (-x, -y), text)


def _ends(canvas: Canvas, panel: Panel, view: View, writing: Writing) -> None:
    spec, words = panel.layout.spec, writing.words
    first, last = panel.drawn[0].places[0], panel.drawn[-1].places[-1]
    for place, kind in ((first, spec.ends.start), (last, spec.ends.finish)):
        canvas.line([_beside(place, view, 2.5), _beside(place, view, -2.0)], wide=0.5)
        _write_behind(canvas, panel, view, place, words.say(_ENDS[kind]))


def _corners(canvas: Canvas, panel: Panel, view: View, writing: Writing) -> None:
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


def _parts(canvas: Canvas, panel: Panel, view: View, writing: Writing) -> None:
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


def _stations(canvas: Canvas, panel: Panel, view: View, writing: Writing) -> None:
    """Ticks in front of the wall; a text where there is room for it, at the ends first."""
    step, length = _STATION_STEP_M[writing.units], panel.layout.length_m
    count = math.ceil(length / step - 1e-9)
    for station in (0.0, length, *(number * step for number in range(1, count))):
        place = place_at(panel.drawn, station)
        canvas.line([_beside(place, view, 0), _beside(place, view, -2)], wide=0.2)
        _write_before(canvas, view, place, writing.length(station))


def _outlets(canvas: Canvas, panel: Panel, view: View, quote: Built) -> None:
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


def _tiers(canvas: Canvas, panel: Panel, view: View, quote: Built, writing: Writing) -> None:
    """Which of the tiers a wall is."""
    words, name = writing.words, panel.layout.name
    half = place_at(panel.drawn, panel.layout.length_m / 2)
    for tier in quote.job.tiers:
        if tier.upper == name:
            text = words.say(
                "{upper}: {offset} behind {lower}",
                upper=name,
                offset=writing.length(tier.offset_m),
                lower=tier.lower,
            )
        elif tier.lower == name and not any(other.upper == name for other in quote.job.tiers):
            text = name
        else:
            continue
        _write_before(canvas, view, half, fitted(text, _NOTE_MM), off_mm=_OUTLET_MM + 2)


def _graded(canvas: Canvas, panel: Panel, view: View, writing: Writing) -> None:
    """The names of areas that are graded beside the wall: within them, where there is room."""
    for band in panel.bands:
        text = fitted(writing.words.say("graded: {area}", area=band.name), _NOTE_MM)
        middle, way = band.near[len(band.near) // 2], math.copysign(1.0, band.near_m)
        x, y = _toward_soil(middle)
        tip = view(middle.beside(band.near_m + way * 1.2 * view.scale / MM_PER_M))
        canvas.write_beside(tip, (way * x, way * y), text, steps=_STEPS_MM)
