"""What a plan shows together: a wall by itself, or tiers as they stand behind each other.

An upper wall begins opposite the start of the lower one, as far behind its face as the tier says.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.core.built import Built
from service.core.job.graded import AverageDepth, Grading, LevelGrid
from service.core.layout.layout import WallLayout
from service.core.layout.profile import station_m
from service.documents.drawings.canvas import Point
from service.documents.drawings.plan_line import (
    PartDrawn,
    Place,
    moved,
    place_at,
    points_of,
    trace,
)
from service.documents.drawings.scale import MM_PER_M

_GRADED_POINTS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """An area graded beside a wall: its edge toward the wall, and the far one where its size is
    known and it is no deeper than the wall is long; points in order of stations."""

    name: str
    near: tuple[Place, ...]
    near_m: float
    far_m: float | None

    def edge(self, off_m: float) -> list[Point]:
        """The line so far toward the soil."""
        return [place.beside(off_m) for place in self.near]


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One wall as it lies: its parts, the line of the plan and the face of the top course. On the
    ground it stands `behind_m` behind the wall that its group begins with."""

    layout: WallLayout
    drawn: tuple[PartDrawn, ...]
    line: list[Point]
    top: list[Point]
    top_m: float
    bands: tuple[Band, ...] = ()
    behind_m: float = 0.0

    @property
    def points(self) -> list[Point]:
        """All that has to find room, on the ground of its group."""
        areas = [
            point
            for band in self.bands
            for off in (band.near_m, band.far_m)
            if off is not None
            for point in band.edge(off)
        ]
        return [(x, y + self.behind_m) for x, y in (*self.line, *self.top, *areas)]


@dataclass(frozen=True, slots=True)
class Group:
    """Walls that are drawn together: one, or the tiers of a slope."""

    panels: tuple[Panel, ...]

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y, in meters."""
        points = [point for panel in self.panels for point in panel.points]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class View:
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

    def of(self, panel: Panel) -> View:
        """The view of one wall of a group, by its own meters."""
        return replace(self, top_m=self.top_m - panel.behind_m)


def groups_of(quote: Built, wall: str | None = None) -> tuple[Group, ...]:
    """Every wall in the order of the request, tiers with the lowest of theirs; or one alone."""
    panels = {layout.name: _panel(quote, layout) for layout in quote.layouts}
    if wall is not None:
        return (Group((panels[wall],)),)
    upper = {tier.upper for tier in quote.job.tiers}
    return tuple(
        Group(tuple(_with_uppers(quote, panels, panel, set())))
        for name, panel in panels.items()
        if name not in upper
    )


def _with_uppers(
    quote: Built, panels: dict[str, Panel], panel: Panel, seen: set[str]
) -> Iterator[Panel]:
    """A wall and all that stand behind it, each once."""
    yield panel
    for tier in quote.job.tiers:
        if tier.lower == panel.layout.name and tier.upper not in seen:
            seen.add(tier.upper)
            behind = replace(panels[tier.upper], behind_m=panel.behind_m + tier.offset_m)
            yield from _with_uppers(quote, panels, behind, seen)


def _panel(quote: Built, layout: WallLayout) -> Panel:
    drawn = trace(layout.spec.plan)
    line = points_of(drawn)
    highest = max(course.offset_m for course in layout.courses)
    return Panel(
        layout=layout,
        drawn=drawn,
        line=line,
        top=moved(line, highest),
        top_m=highest,
        bands=tuple(_bands(quote, layout, drawn)),
    )


def _bands(quote: Built, layout: WallLayout, drawn: tuple[PartDrawn, ...]) -> Iterator[Band]:
    for grading in quote.job.grading:
        beside = grading.beside
        if beside is None or beside.wall != layout.name:
            continue
        start = station_m(beside.from_station, layout.plan)
        long = station_m(beside.to_station, layout.plan) - start
        marks = (start + long * number / _GRADED_POINTS for number in range(_GRADED_POINTS + 1))
        way, deep = (1.0 if beside.side == "behind" else -1.0), _deep_m(grading, long)
        yield Band(
            name=grading.name,
            near=tuple(place_at(drawn, mark) for mark in marks),
            near_m=way * beside.from_m,
            far_m=way * (beside.from_m + deep) if 0 < deep <= layout.length_m else None,
        )


def _deep_m(grading: Grading, long_m: float) -> float:
    """How deep an area is that is so long; 0 where its size is not known here."""
    match grading.ground:
        case LevelGrid() as grid:
            rows, columns = len(grid.existing_m) - 1, len(grid.existing_m[0]) - 1
            area = rows * grid.row_spacing_m * columns * grid.column_spacing_m
        case AverageDepth(area_m2=area):
            pass
        case _:
            return 0.0
    return area / long_m if long_m > 0 else 0.0
