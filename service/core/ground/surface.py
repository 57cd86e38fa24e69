"""Ground between survey points: triangles, cut by a boundary, over a finished plane.

Triangles are those of Delaunay, in which no point lies inside the circle of another triangle;
ground is plane in each. There are no breaklines: a ditch or the edge of a bank shows as far as
points were measured along it. Points are sorted first, so that their order changes nothing even
where several such sets of triangles exist (points in a square grid).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import shapely

from service.core.errors import Fault, Path, QuoteFaultsError
from service.core.ground.boundary import ring_area_m2
from service.core.ground.prism import Depths, Prism, depth_of_cut
from service.core.job.survey_points import EastingNorthing
from service.core.measure import number
from service.core.rounding import CLOSE_M

# Floats in this module: coordinates of a survey carry some 1e-9 m, levels less.
_SLIVER_M = 1e-8  # narrower triangles are noise between points in one line
_UNCOVERED_SHARE = 1e-3  # of the area: what a rounded corner may lack
_POLYGON = 3  # type number of shapely


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """Prisms between existing and finished ground inside a boundary. `covered_m2` is what of the
    boundary's `area_m2` the triangles cover; `triangles` lie inside whole or in part, `divided`
    of them in part."""

    prisms: tuple[Prism, ...]
    area_m2: float
    covered_m2: float
    triangles: int
    divided: int


@dataclass(frozen=True, slots=True)
class GroundPiece:
    """A plane piece of the ground inside the boundary: its corners and the depth of cut there."""

    corners: tuple[EastingNorthing, ...]
    depths_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Triangle:
    """Corners in plan and the depth of cut there, in meters from the survey's own origin."""

    corners: tuple[EastingNorthing, EastingNorthing, EastingNorthing]
    depths_m: Depths

    @property
    def area_m2(self) -> float:
        """Area in plan, positive."""
        return abs(_signed_area(*self.corners))

    @property
    def height_m(self) -> float:
        """Height over the longest side."""
        (a, b, c), area = self.corners, self.area_m2
        return 2 * area / max(math.dist(a, b), math.dist(b, c), math.dist(c, a))

    def depth_m(self, place: EastingNorthing) -> float:
        """Depth of cut at a place, on the plane through the three corners."""
        a, b, c = self.corners
        parts = _signed_area(place, b, c), _signed_area(a, place, c), _signed_area(a, b, place)
        whole = _signed_area(a, b, c)
        depth = sum(p * d for p, d in zip(parts, self.depths_m, strict=True)) / whole
        return depth_of_cut(depth, 0.0)


def triangulate(
    depths: Sequence[tuple[EastingNorthing, float]], boundary: Sequence[EastingNorthing], at: Path
) -> Surface:
    """Triangulate places with their depths of cut, and cut the triangles by a boundary: n log n
    in the number of places.

    Raises QuoteFaultsError below `at` where the boundary reaches outside them
    (`boundary-not-covered`, `survey-points-outside`).
    """
    points, outline, mesh, whole = _laid(depths, boundary)
    divided = [prism for part in _divide(mesh[~whole], outline) for prism in part]
    prisms = [Prism(t.area_m2, t.depths_m) for t in _triangles(mesh[whole])] + divided
    covered, area = math.fsum(p.area_m2 for p in prisms), abs(ring_area_m2(boundary))
    if covered < area * (1 - _UNCOVERED_SHARE):
        raise QuoteFaultsError(_outside_faults(points, outline, covered, at))
    return Surface(
        prisms=tuple(prisms),
        area_m2=area,
        covered_m2=covered,
        triangles=len(mesh),
        divided=(~whole).sum().item(),
    )


def pieces_of(
    depths: Sequence[tuple[EastingNorthing, float]], boundary: Sequence[EastingNorthing]
) -> Iterator[GroundPiece]:
    """The same triangles inside the boundary as they lie, from the survey's least easting and
    northing on."""
    _, outline, mesh, whole = _laid(depths, boundary)
    for triangle in _triangles(mesh[whole]):
        yield GroundPiece(triangle.corners, triangle.depths_m)
    for triangle, ring in _parts(mesh[~whole], outline):
        corners = tuple(ring[:-1])
        yield GroundPiece(corners, tuple(triangle.depth_m(corner) for corner in corners))


def _laid(
    depths: Sequence[tuple[EastingNorthing, float]], boundary: Sequence[EastingNorthing]
) -> tuple[Any, Any, Any, Any]:
    """Points and outline from the survey's own origin, the triangles that touch the outline, and
    which of them lie inside whole."""
    east, north = (min(place[axis] for place, _ in depths) for axis in (0, 1))
    points = shapely.MultiPoint(sorted((x - east, y - north, d) for (x, y), d in depths))
    outline = shapely.Polygon([(x - east, y - north) for x, y in boundary])
    shapely.prepare(outline)
    mesh = shapely.get_parts(shapely.delaunay_triangles(points))
    mesh = mesh[shapely.intersects(outline, mesh)]
    return points, outline, mesh, shapely.covers(outline, mesh)


def _triangles(mesh: Any) -> Iterator[_Triangle]:  # noqa: ANN401  shapely publishes no types
    """Triangles of a mesh without slivers: an array of polygons whose z is the depth of cut."""
    for triangle in _all_triangles(mesh):
        if triangle.height_m >= _SLIVER_M:
            yield triangle


def _all_triangles(mesh: Any) -> Iterator[_Triangle]:  # noqa: ANN401
    rings = shapely.get_coordinates(mesh, include_z=True).reshape(len(mesh), 4, 3).tolist()
    for (ax, ay, az), (bx, by, bz), (cx, cy, cz), _ in rings:
        yield _Triangle(((ax, ay), (bx, by), (cx, cy)), (az, bz, cz))


def _divide(mesh: Any, outline: Any) -> Iterator[list[Prism]]:  # noqa: ANN401
    """What of each triangle lies inside the outline, as a fan of prisms with signed areas."""
    for triangle, ring in _parts(mesh, outline):
        yield _fan(triangle, ring)


def _parts(mesh: Any, outline: Any) -> Iterator[tuple[_Triangle, list[EastingNorthing]]]:  # noqa: ANN401
    """What of each triangle lies inside the outline, as rings."""
    triangles = list(_all_triangles(mesh))
    parts, owners = shapely.get_parts(shapely.intersection(mesh, outline), return_index=True)
    kinds = shapely.get_type_id(parts).tolist()
    for part, owner, kind in zip(parts, owners.tolist(), kinds, strict=True):
        triangle = triangles[owner]
        if kind == _POLYGON and triangle.height_m >= _SLIVER_M:
            yield triangle, [(x, y) for x, y in shapely.get_coordinates(part).tolist()]


def _fan(triangle: _Triangle, ring: Sequence[EastingNorthing]) -> list[Prism]:
    """Prisms from a ring's first corner to each of its sides. Where the ring is hollow they
    overlap, and those with negative areas take the overlap away again."""
    sense = math.copysign(1.0, ring_area_m2(ring[:-1]))
    first, depth = ring[0], triangle.depth_m(ring[0])
    return [
        Prism(
            sense * _signed_area(first, a, b),
            (depth, triangle.depth_m(a), triangle.depth_m(b)),
        )
        for a, b in pairwise(ring[1:-1])
    ]


def _signed_area(a: EastingNorthing, b: EastingNorthing, c: EastingNorthing) -> float:
    return ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / 2


def _outside_faults(points: Any, outline: Any, covered_m2: float, at: Path) -> list[Fault]:  # noqa: ANN401
    """Where the boundary reaches outside the points."""
    if covered_m2 <= 0:
        return [
            Fault(
                code="survey-points-outside",
                at=at,
                message="none of the ground between the survey points lies inside the boundary",
                hint="check the order of the columns, the unit and the boundary",
            )
        ]
    corners = shapely.points(shapely.get_coordinates(outline)[:-1])
    away = shapely.distance(shapely.convex_hull(points), corners).tolist()
    percent = number(100 * covered_m2 / float(outline.area), 3)
    return [
        Fault(
            code="boundary-not-covered",
            at=(*at, index),
            message=f"corner {index + 1} of the boundary lies outside the survey points, which "
            f"cover {percent} % of the area",
            hint="points along the boundary or beyond it, or a boundary inside the points",
        )
        for index, distance in enumerate(away)
        if distance > CLOSE_M
    ]
