"""Areas that are graded, as they lie: plane pieces of cut and of fill, and points with a depth.

The pieces are those whose prisms were added up (rule 13.14): four about the center of each cell of
a grid, triangles between survey points.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

from service.core.ground.prism import depth_of_cut
from service.core.ground.surveyed_area import pieces_of_survey
from service.core.job.graded import AverageDepth, GradedGround, LevelGrid, SurveyedArea

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """What of an area is cut and what is filled, as outlines, and depths of cut (fill: negative)
    at points; in meters, north up where there is a north. `placed` is False where only a size was
    given: then its outline is a square as large."""

    cut: tuple[tuple[Point, ...], ...]
    fill: tuple[tuple[Point, ...], ...]
    depths: tuple[tuple[Point, float], ...]
    edge: tuple[tuple[Point, Point], ...]
    placed: bool = True
    north_up: bool = False


_Piece = tuple[tuple[Point, ...], tuple[float, ...]]


def cells_of(ground: GradedGround) -> Cells:
    """The cells of an area, however it was given."""
    match ground:
        case LevelGrid():
            return _grid_cells(ground)
        case SurveyedArea():
            pieces = [(each.corners, each.depths_m) for each in pieces_of_survey(ground)]
            return _cells(pieces, _corner_depths(pieces), north_up=True)
        case AverageDepth():
            return _square(ground)
        case other:
            assert_never(other)


def _grid_cells(grid: LevelGrid) -> Cells:
    """Rows lie below each other, the first one at the top of the sheet."""
    finished = grid.finished_m
    depths: list[tuple[Point, float]] = []
    by_place: dict[tuple[int, int], float] = {}
    for row, levels in enumerate(grid.existing_m):
        for column, was in enumerate(levels):
            will = finished[row][column] if isinstance(finished, tuple) else finished
            by_place[row, column] = depth_of_cut(was, will)
            at = (column * grid.column_spacing_m, -row * grid.row_spacing_m)
            depths.append((at, by_place[row, column]))
    rows, columns = len(grid.existing_m), len(grid.existing_m[0])
    at_place = {
        place: at for place, (at, _) in zip(by_place, depths, strict=True)
    }  # both in reading order
    pieces: list[_Piece] = []
    for row in range(rows - 1):
        for column in range(columns - 1):
            ring = ((row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column))
            pieces += _about_center([at_place[p] for p in ring], [by_place[p] for p in ring])
    return _cells(pieces, tuple(depths), north_up=False)


def _about_center(ring: Sequence[Point], depths: Sequence[float]) -> Iterator[_Piece]:
    """A cell as four triangles about its center, which lies at the mean of its corners."""
    center = sum(x for x, _ in ring) / 4, sum(y for _, y in ring) / 4
    mean = sum(depths) / 4
    for i in range(4):
        j = (i + 1) % 4
        yield (ring[i], ring[j], center), (depths[i], depths[j], mean)


def _square(area: AverageDepth) -> Cells:
    side = math.sqrt(area.area_m2)
    outline = ((0.0, 0.0), (side, 0.0), (side, -side), (0.0, -side))
    depth = area.depth_m if area.work == "cut" else -area.depth_m
    whole = (outline,)
    return Cells(
        cut=whole if area.work == "cut" else (),
        fill=whole if area.work == "fill" else (),
        depths=(((side / 2, -side / 2), depth),),
        edge=tuple(pairwise((*outline, outline[0]))),
        placed=False,
    )


def _cells(
    pieces: Sequence[_Piece], depths: tuple[tuple[Point, float], ...], *, north_up: bool
) -> Cells:
    return Cells(
        cut=tuple(part for piece in pieces if (part := _above_zero(*piece, 1.0))),
        fill=tuple(part for piece in pieces if (part := _above_zero(*piece, -1.0))),
        depths=depths,
        edge=_edge(pieces),
        north_up=north_up,
    )


def _above_zero(
    corners: Sequence[Point], depths: Sequence[float], sign: float
) -> tuple[Point, ...]:
    """What of a plane piece is cut (`sign` 1) or filled (-1): divided along the line of none."""
    if max(sign * depth for depth in depths) <= 0:
        return ()
    kept: list[Point] = []
    for i, a in enumerate(corners):
        j = (i + 1) % len(corners)
        first, last = sign * depths[i], sign * depths[j]
        if first >= 0:
            kept.append(a)
        if first * last < 0:
            share, b = first / (first - last), corners[j]
            kept.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
    return tuple(kept)


def _edge(pieces: Sequence[_Piece]) -> tuple[tuple[Point, Point], ...]:
    """Sides that belong to one piece alone: the edge of the area."""
    seen: dict[frozenset[tuple[int, int]], list[tuple[Point, Point]]] = {}
    for corners, _ in pieces:
        for a, b in pairwise((*corners, corners[0])):
            seen.setdefault(frozenset((_mark(a), _mark(b))), []).append((a, b))
    return tuple(sides[0] for sides in seen.values() if len(sides) == 1)


def _mark(point: Point) -> tuple[int, int]:
    """A point to a tenth of a millimeter: shared corners come out of floats."""
    return round(point[0] * 1e4), round(point[1] * 1e4)


def _corner_depths(pieces: Sequence[_Piece]) -> tuple[tuple[Point, float], ...]:
    """Every corner once, with the depth of cut there."""
    found: dict[tuple[int, int], tuple[Point, float]] = {}
    for corners, depths in pieces:
        for at, depth in zip(corners, depths, strict=True):
            found.setdefault(_mark(at), (at, depth))
    return tuple(found.values())
