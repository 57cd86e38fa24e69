"""The earthwork map: where ground is cut and where it is filled, by hatch and by figure.

Every wall with existing ground and every graded area by itself; volumes are those of the balance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core.built import Built
from service.core.ground.balance import Earthwork, GradedEarth
from service.core.ground.earthwork import WallEarthwork
from service.core.job.graded import Grading
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet, in_unit, number, unit_sign
from service.core.rounding import to_step
from service.documents.drawings.canvas import Canvas, Hatch, Point, around
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.earth_bands import Kind, bands_of, is_clear, kept_sections
from service.documents.drawings.fitted import fitted
from service.documents.drawings.graded_cells import cells_of
from service.documents.drawings.plan_line import place_at, points_of, trace
from service.documents.drawings.scale import MM_PER_M, draw_bar, round_scale

WIDTH_MM = 180.0
_MARGIN_MM = 12.0
_TALLEST_MM = 95.0
_HEAD_MM = 15.0
_FOOT_MM = 9.0
_LEGEND_MM = 20.0
_LINE_MM = 4.2
_STEP = Decimal("0.1")
_CUT: Hatch = "cut"
_FILL: Hatch = "fill"
# Figures stand no closer than this.
_APART_MM = (19.0, 6.0)
MOST_DEPTHS = 160
_MOST_SECTIONS = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    """What one wall or area shows, in meters: outlines of cut and fill, lines, depths of cut
    (fill: negative) at points, and what is said above it."""

    name: str
    said: tuple[str, ...]
    cut: tuple[tuple[Point, ...], ...]
    fill: tuple[tuple[Point, ...], ...]
    line: tuple[Point, ...] = ()
    edge: tuple[tuple[Point, Point], ...] = ()
    depths: tuple[tuple[Point, float], ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y."""
        points = [point for outline in (*self.cut, *self.fill, *self.edge) for point in outline]
        points += self.line
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def scale(self) -> float:
        """The scale at which it fits."""
        left, low, right, high = self.bounds
        wide, tall = (right - left) * MM_PER_M, (high - low) * MM_PER_M
        return round_scale(max(wide / (WIDTH_MM - 2 * _MARGIN_MM), tall / _TALLEST_MM, 1.0))

    @property
    def height_mm(self) -> float:
        """What it takes of the sheet."""
        _, low, _, high = self.bounds
        drawn = (high - low) * MM_PER_M / self.scale
        return _HEAD_MM + len(self.said) * _LINE_MM + drawn + _FOOT_MM


def draw_earthwork_map(quote: Built, writing: Writing, wall: str | None = None) -> Drawing | None:
    """Cut and fill of all walls and areas, whichever is named; None where no ground is known."""
    del wall
    earth = quote.earthwork
    if earth is None:
        return None
    panels = tuple(_panels(quote, earth, writing))
    canvas = Canvas(WIDTH_MM, 9 + sum(panel.height_mm for panel in panels) + _LEGEND_MM)
    words = writing.words
    canvas.write((2, 5), words.say("Earthwork"), anchor="start", size=3.2, strong=True)
    top = 5.0
    for panel in panels:
        _draw_panel(canvas, panel, top, writing)
        top += panel.height_mm
    _write_legend(canvas, quote, earth, top + 6, writing)
    return canvas.drawing(
        words.say("Earthwork map"),
        words.say(
            "Seen from above, where ground is cut and where it is filled: {names}.",
            names=", ".join(panel.name for panel in panels),
        ),
    )


def _panels(quote: Built, earth: Earthwork, writing: Writing) -> Iterator[_Panel]:
    layouts = {layout.name: layout for layout in quote.layouts}
    for wall in earth.walls:
        yield _wall_panel(layouts[wall.wall], wall, quote.job.units, writing)
    for grading, graded in zip(quote.job.grading, earth.graded, strict=True):
        yield _area_panel(grading, graded, quote.job.units, writing)


def _wall_panel(
    layout: WallLayout, earth: WallEarthwork, units: UnitSet, writing: Writing
) -> _Panel:
    words = writing.words
    bands = tuple(bands_of(layout, earth, layout.length_m / _MOST_SECTIONS))
    by_kind: dict[Kind, tuple[tuple[Point, ...], ...]] = {
        "cut": tuple(band.outline for band in bands if band.kind == "cut"),
        "fill": tuple(band.outline for band in bands if band.kind == "fill"),
    }
    said = words.say(
        "cut {cut}, put back {back}, fill {fill}; deepest {deepest} at station {station}",
        cut=_volume(earth.cut_m3, units, writing),
        back=_volume(earth.backfill_m3, units, writing),
        fill=_volume(earth.fill_m3, units, writing),
        deepest=writing.length(earth.deepest_m),
        station=writing.length(earth.deepest_station_m),
    )
    joined = ", ".join(earth.one_cut_with)
    return _Panel(
        name=layout.name,
        said=(said, *([words.say("one cut with {walls}", walls=joined)] if joined else [])),
        cut=by_kind["cut"],
        fill=by_kind["fill"],
        line=tuple(points_of(trace(layout.spec.plan))),
        depths=tuple(_wall_depths(layout, earth)),
    )


def _wall_depths(layout: WallLayout, earth: WallEarthwork) -> Iterator[tuple[Point, float]]:
    """How high the face of the cut stands where it ends, and how high fill lies beyond it."""
    drawn = trace(layout.spec.plan)
    for index in kept_sections(earth, layout.length_m / _MOST_SECTIONS):
        edges, fill = earth.edges[index], earth.fill_sections[index]
        place = place_at(drawn, min(max(edges.station_m, 0.0), layout.length_m))
        if edges.face_m > 0 and is_clear(layout, edges.station_m, edges.reach.behind_m):
            yield place.beside(edges.reach.behind_m), edges.face_m
        highest = max(((h, x) for a, h1, b, h2 in fill.behind for h, x in ((h1, a), (h2, b))),
                      default=(0.0, 0.0))  # fmt: skip
        if highest[0] > 0 and is_clear(layout, edges.station_m, highest[1]):
            yield place.beside(highest[1]), -highest[0]


def _area_panel(grading: Grading, graded: GradedEarth, units: UnitSet, writing: Writing) -> _Panel:
    words, cells = writing.words, cells_of(grading.ground)
    cut, fill = (_volume(v, units, writing) for v in (graded.cut_m3, graded.fill_m3))
    said = [words.say("cut {cut}, fill {fill}", cut=cut, fill=fill)]
    if grading.beside is not None:
        wall = grading.beside.wall
        sides = {
            "front": words.say("in front of {wall}", wall=wall),
            "behind": words.say("behind {wall}", wall=wall),
        }
        said.append(sides[grading.beside.side])
    if not cells.placed:
        said.append(words.say("size and average depth are given, not its shape: drawn as a square"))
    elif cells.north_up:
        said.append(words.say("north is up"))
    return _Panel(
        name=grading.name,
        said=tuple(said),
        cut=cells.cut,
        fill=cells.fill,
        edge=cells.edge,
        depths=cells.depths,
    )


def _draw_panel(canvas: Canvas, panel: _Panel, top: float, writing: Writing) -> None:
    left, low, _, high = panel.bounds
    per_m = MM_PER_M / panel.scale
    first = top + _HEAD_MM + (len(panel.said) - 1) * _LINE_MM

    def place(point: Point) -> Point:
        return _MARGIN_MM + (point[0] - left) * per_m, first + (high - point[1]) * per_m

    name = fitted(panel.name, WIDTH_MM - 4, strong=True)
    canvas.write((2, top + 5), name, anchor="start", strong=True)
    for index, line in enumerate(panel.said):
        at = (2.0, top + 5 + (index + 1) * _LINE_MM)
        canvas.write(at, fitted(line, WIDTH_MM - 4), anchor="start")
    edge = 0.15 if panel.line else 0.0
    for outlines, hatch in ((panel.cut, _CUT), (panel.fill, _FILL)):
        drawn = ([place(point) for point in outline] for outline in outlines)
        canvas.areas(drawn, hatch=hatch, wide=edge)
    canvas.strokes([[place(a), place(b)] for a, b in panel.edge], wide=0.3)
    if panel.line:
        canvas.line([place(point) for point in panel.line], wide=0.7)
    _write_depths(canvas, [(place(at), depth) for at, depth in panel.depths], writing)
    draw_bar(canvas, (_MARGIN_MM, first + (high - low) * per_m + 4), panel.scale, writing)


def _write_depths(canvas: Canvas, depths: Sequence[tuple[Point, float]], writing: Writing) -> None:
    """Depths where there is room: C before a cut, F before a fill."""
    words = writing.words
    taken: set[tuple[int, int]] = set()
    for (x, y), depth in depths:
        cell = int(x // _APART_MM[0]), int(y // _APART_MM[1])
        if depth == 0 or cell in taken or len(taken) >= MOST_DEPTHS:
            continue
        taken.add(cell)
        shown = writing.length(abs(depth))
        cut, fill = words.say("C {depth}", depth=shown), words.say("F {depth}", depth=shown)
        canvas.write((x, y + 1), cut if depth > 0 else fill, moves=around(2.9, rows=1))


def _write_legend(
    canvas: Canvas, quote: Built, earth: Earthwork, top: float, writing: Writing
) -> None:
    words, units = writing.words, quote.job.units
    for x, hatch, text in (
        (4.0, _CUT, words.say("ground is cut; C: how deep")),
        (84.0, _FILL, words.say("ground is filled; F: how high")),
    ):
        corners = [(x, top - 3), (x + 8, top - 3), (x + 8, top), (x, top)]
        canvas.area(corners, hatch=hatch)
        canvas.write((x + 10, top - 0.5), text, anchor="start")
    said = words.say(
        "In all: cut {cut}, put back {back}, fill {fill}, hauled off {off}, brought in {brought}.",
        cut=_volume(earth.cut_m3, units, writing),
        back=_volume(earth.backfill_m3, units, writing),
        fill=_volume(earth.fill_m3, units, writing),
        off=_volume(earth.haul_off.bank_m3, units, writing),
        brought=_volume(earth.imported.bank_m3, units, writing),
    )
    states = words.say(
        "Cut, hauled off and brought in as the ground lies; put back and fill compacted."
    )
    for index, line in enumerate((said, states)):
        at = (4.0, top + 6 + index * _LINE_MM)
        canvas.write(at, fitted(line, WIDTH_MM - 8), anchor="start")


def _volume(volume_m3: float, units: UnitSet, writing: Writing) -> str:
    """A volume rounded for reading: no price is multiplied from it."""
    value = Decimal(number(in_unit(volume_m3, units.volume)))
    return f"{writing.words.figure(number(to_step(value, _STEP)))} {unit_sign(units.volume)}"
