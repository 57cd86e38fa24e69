"""What two walls would dig or fill twice, and whose it is: rules 13.16 and 13.17.

Column by column: a cut is dug once, by the wall with the lower base. What the lower wall fills
stops at the trench of the upper one: from there on it only brings its own deeper cut up to the
upper one's. The upper wall's graded strip in front counts as far as the lower wall leaves it,
and what it takes off again the lower wall doesn't put back.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from service.core.ground.columns import HeightRow, greater, less, lesser, stacked
from service.core.ground.cross_section import CrossSection
from service.core.ground.digging import NOTHING, add_up_spans
from service.core.ground.dug_wall import DugWall, Slice, slice_of
from service.core.ground.prismoid import Sums
from service.core.ground.region import clipped, moments
from service.core.ground.span import Span
from service.core.ground.tiers.tier_line import MovedLine, Neighbor
from service.core.quadrature import GAUSS
from service.core.rounding import CLOSE_M, compared_m

_PANELS = 4  # over each part of a sloped end
_INSIDE_M = 1e-6  # on this side of a step


@dataclass(frozen=True, slots=True, kw_only=True)
class NearWall:
    """Another wall as one sees it, with its stations."""

    wall: DugWall
    behind_m: float
    above: bool
    line: MovedLine
    digs_first: bool

    def slice_at(self, station_m: float) -> Slice | None:
        """Its slice across a station of the one, by the one's offsets."""
        found = self.wall.slice_at(self.line.at(station_m))
        return found.moved(self.behind_m) if found else None

    def marks_m(self) -> Iterator[float]:
        """Stations of the one at which this one begins, changes or ends."""
        back = MovedLine(plan=self.wall.layout.plan, by_m=-self.behind_m)
        ends = -self.wall.reach_m(at_start=True), self.wall.reach_m(at_start=False)
        yield back.at(ends[0])
        for span in self.wall.dug.spans:
            yield back.at(span.from_m)
        yield back.at(self.wall.length_m)
        yield back.at(self.wall.length_m + ends[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a wall doesn't dig and fill because another does: sums along the plan and at the pad's
    extensions, and those of the sloped ends."""

    along: Sums
    ends: Sums

    @property
    def sums(self) -> Sums:
        """Both together."""
        return _plus(self.along, self.ends)


def digging_order(walls: Mapping[str, DugWall]) -> tuple[str, ...]:
    """Names of walls, the one with the lowest base first; ties go by name."""
    return tuple(sorted(walls, key=lambda name: (_base_m(walls[name]), name)))


def _base_m(wall: DugWall) -> float:
    """Level of the lowest base; levels that differ by nothing are one."""
    return compared_m(wall.layout.grid.level_m(wall.layout.lowest))


def besides(
    name: str, walls: Mapping[str, DugWall], around: Sequence[Neighbor]
) -> tuple[NearWall, ...]:
    """The walls above and below one that are near enough to matter."""
    order, plan = digging_order(walls), walls[name].layout.plan
    return tuple(
        NearWall(
            wall=walls[each.name],
            behind_m=each.behind_m,
            above=each.above,
            line=MovedLine(plan=plan, by_m=each.behind_m),
            digs_first=order.index(each.name) < order.index(name),
        )
        for each in around
        if _are_near(walls[name], walls[each.name], each.behind_m)
    )


def _are_near(wall: DugWall, other: DugWall, behind_m: float) -> bool:
    """Whether two walls may touch or overlap, or lie as near as either is deep."""
    (front, back), (other_front, other_back) = wall.reach, other.reach
    gap = max(other_front + behind_m - back, front - other_back - behind_m)
    return gap <= max(0.0, wall.deepest_m, other.deepest_m)


def taken_from(wall: DugWall, others: Sequence[NearWall]) -> Taken:
    """What other walls dig and fill of one wall's earthwork."""
    marks = sorted({mark for other in others for mark in other.marks_m()})
    pen = _SharedPen(wall, others)
    spans = [
        [part for span in wall.dug.spans if span.piece is piece for part in _parts(span, marks)]
        for piece in wall.layout.plan.pieces
    ]
    along, ends = add_up_spans(wall.layout, spans, pen), NOTHING
    extension = wall.digging.pad.end_extension_m
    for at_start in (True, False):
        beyond = [-mark if at_start else mark - wall.length_m for mark in marks]
        reach = wall.reach_m(at_start)
        pad = _past_end(wall, others, at_start, (0.0, *_between(beyond, 0.0, extension), extension))
        slope = (extension, *_between(beyond, extension, reach), reach)
        along = _plus(along, pad)
        ends = _plus(ends, _past_end(wall, others, at_start, slope))
    return Taken(along=along, ends=ends)


def _between(marks: Sequence[float], low: float, high: float) -> list[float]:
    return sorted(mark for mark in marks if low + CLOSE_M < mark < high - CLOSE_M)


def _parts(span: Span, marks: Sequence[float]) -> Iterator[Span]:
    """A span cut where another wall changes."""
    stops = (span.from_m, *_between(marks, span.from_m, span.to_m), span.to_m)
    for a, b in pairwise(stops):
        yield replace(span, from_m=a, to_m=b)


def _past_end(
    wall: DugWall, others: Sequence[NearWall], at_start: bool, marks: Sequence[float]
) -> Sums:
    """Beyond an end, between distances from it."""
    total = NOTHING
    for a, b in pairwise(marks):
        step = (b - a) / _PANELS
        for panel in range(_PANELS if b - a > CLOSE_M else 0):
            for node, weight in GAUSS:
                away = a + (panel + node) * step
                station = -away if at_start else wall.length_m + away
                own = wall.slice_at(station)
                if own is not None:
                    found = _taken(own, others, station)
                    total = _plus(total, _areas(found, weight * step))
    return total


def _areas(columns: Sequence[HeightRow], length_m: float) -> Sums:
    cut, backfill, fill, disturbed, bare = (length_m * moments(each)[0] for each in columns)
    return cut, backfill, fill, disturbed, bare


def _plus(one: Sums, other: Sums) -> Sums:
    cut, backfill, fill, disturbed, bare = (a + b for a, b in zip(one, other, strict=True))
    return cut, backfill, fill, disturbed, bare


class _SharedPen:
    """Draws what of a wall's sections others dig and fill."""

    same_share = (1e-5, 1e-5)

    def __init__(self, wall: DugWall, others: Sequence[NearWall]) -> None:
        self._wall = wall
        self._others = others

    def draw(self, span: Span, station_m: float) -> CrossSection:
        """The section of a span at a station; its areas are what is taken."""
        section = self._wall.pen.draw(span, station_m)
        inside = min(max(station_m, span.from_m + _INSIDE_M), span.to_m - _INSIDE_M)
        cut, backfill, fill, disturbed, bare = _taken(slice_of(section), self._others, inside)
        return replace(
            section,
            cut=cut,
            backfill=backfill,
            fill=fill,
            disturbed=disturbed,
            bare=bare,
            shape=(hash(station_m),),  # no two are taken for alike
        )


def _taken(own: Slice, others: Sequence[NearWall], station_m: float) -> tuple[HeightRow, ...]:
    """Cut, backfill, fill, ground disturbed and bare ground of a slice that others account for."""
    met = [(other, found) for other in others if (found := other.slice_at(station_m))]
    first = [found for other, found in met if other.digs_first]
    above = [found for other, found in met if other.above]
    below = [found for other, found in met if not other.above]
    cut = lesser(own.cut, greater(*(each.cut for each in first)))
    disturbed = lesser(own.disturbed, greater(*(each.disturbed for each in first)))
    backfill, fill, bare = _stopped(own, above) if above else ((), (), ())
    if not below:
        return cut, backfill, fill, disturbed, bare
    raised = greater(*(each.raised for each in below))
    fill = greater(fill, lesser(clipped(own.fill, -math.inf, own.edge_m), raised))
    built = min(max(each.built_m for each in below), own.edge_m)
    parts = (cut, backfill, fill, disturbed, bare)
    whole = (own.cut, own.backfill, own.fill, own.disturbed, own.bare)
    return tuple(
        greater(part, clipped(every, -math.inf, built))
        for part, every in zip(parts, whole, strict=True)
    )


def _stopped(own: Slice, above: Sequence[Slice]) -> tuple[HeightRow, HeightRow, HeightRow]:
    """Backfill, fill and bare ground of a lower wall from the trenches of upper ones on, and what
    their graded strips would take off again in front of them."""
    placed = stacked((*own.backfill, *own.fill))
    dug = greater(*(each.cut for each in above))
    over = less(placed, lesser(placed, less(own.cut, dug)))
    inside = _claimed(over, [(each.edge_m, each.until_m) for each in above])
    cut = greater(*(clipped(each.cut, own.built_m, each.edge_m) for each in above))
    lost = greater(inside, lesser(over, cut))
    fill = lesser(lost, own.fill)
    strips = [(max(each.front_m, own.built_m), each.until_m) for each in above]
    bare = _claimed(own.bare, strips)
    return less(lost, fill), fill, bare


def _claimed(columns: HeightRow, claims: Sequence[tuple[float, float]]) -> HeightRow:
    """What lies within any of some stretches of offsets."""
    return greater(*(clipped(columns, low, high) for low, high in claims))
