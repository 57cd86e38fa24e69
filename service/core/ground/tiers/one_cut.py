"""Cuts of walls that stand above each other, as one: rule 13.18.

At a station they are one where their outlines (trench front to top of cut, no graded strips)
overlap or lie nearer than the depth of the lower. Its depth is from the lowest trench bottom to
the highest top of either.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from service.core.ground.cross_section import CrossSection
from service.core.ground.dug_wall import DugWall
from service.core.ground.tiers.shared_cut import NearWall, besides, digging_order
from service.core.ground.tiers.tier_line import Neighbor
from service.core.rounding import CLOSE_M, compared_m

_INSIDE_M = 1e-6  # on this side of a step


@dataclass(frozen=True, slots=True, kw_only=True)
class OneCut:
    """Where the cut that a wall has in common with others is deepest: the depth, the wall's own
    station, and the others."""

    depth_m: float
    station_m: float
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outline:
    name: str
    station_m: float
    front_m: float
    end_m: float
    bottom_m: float
    depth_m: float

    @property
    def top_m(self) -> float:
        return self.bottom_m + self.depth_m


def one_cuts(
    walls: Mapping[str, DugWall], around: Mapping[str, Sequence[Neighbor]]
) -> Mapping[str, OneCut]:
    """The deepest common cut of every wall that has one, as the walls are dug."""
    order = digging_order(walls)
    found: dict[str, list[OneCut]] = {}
    for name in order:
        others = besides(name, walls, around[name])
        for station in sorted(_stations(walls[name], others)) if others else ():
            group = _group(_outlines(name, walls[name], others, station), order)
            if len(group) > 1:
                for member, cut in _common(group):
                    found.setdefault(member, []).append(cut)
    return {name: _deepest(cuts) for name, cuts in sorted(found.items())}


def _stations(wall: DugWall, others: Sequence[NearWall]) -> set[float]:
    """Both sides of every station at which a wall or one beside it changes."""
    marks = [mark for span in wall.dug.spans for mark in (span.from_m, span.to_m)]
    marks += [mark for other in others for mark in other.marks_m()]
    sides = [side for mark in marks for side in (mark - _INSIDE_M, mark + _INSIDE_M)]
    return {mark for mark in sides if 0.0 < mark < wall.length_m}


def _outlines(
    name: str, wall: DugWall, others: Sequence[NearWall], station_m: float
) -> Iterator[_Outline]:
    """The cuts across a station of a wall, its own first, by its offsets."""
    yield _outline(name, station_m, wall.section_at(station_m), 0.0)
    for other in others:
        place = other.line.at(station_m)
        if place <= other.wall.length_m:
            section = other.wall.section_at(place)
            yield _outline(other.wall.layout.name, place, section, other.behind_m)


def _outline(name: str, station_m: float, section: CrossSection, by_m: float) -> _Outline:
    return _Outline(
        name=name,
        station_m=station_m,
        front_m=section.trench.front_m + by_m,
        end_m=section.cut_ends_at_m + by_m,
        bottom_m=section.trench.bottom_m,
        depth_m=section.depth_m,
    )


def _group(outlines: Iterable[_Outline], order: Sequence[str]) -> list[_Outline]:
    """Those that are one cut with the first, directly or by another between them."""
    first, *rest = outlines
    group, waiting = [], [first]
    while waiting:
        member = waiting.pop()
        group.append(member)
        near = [each for each in rest if _is_one(member, each, order)]
        waiting += near
        rest = [each for each in rest if each not in near]
    return group


def _is_one(one: _Outline, other: _Outline, order: Sequence[str]) -> bool:
    """Whether two cuts overlap, touch or lie nearer than the depth of the lower."""
    lower = min(one, other, key=lambda outline: order.index(outline.name))
    gap = max(one.front_m - other.end_m, other.front_m - one.end_m)
    return gap <= CLOSE_M or gap < lower.depth_m - CLOSE_M


def _common(group: Sequence[_Outline]) -> Iterator[tuple[str, OneCut]]:
    depth = max(each.top_m for each in group) - min(each.bottom_m for each in group)
    names = sorted(each.name for each in group)
    for each in group:
        others = tuple(name for name in names if name != each.name)
        yield each.name, OneCut(depth_m=depth, station_m=each.station_m, others=others)


def _deepest(cuts: Sequence[OneCut]) -> OneCut:
    """The deepest, the first of several, with all walls met anywhere."""
    deepest = max(cuts, key=lambda cut: (compared_m(cut.depth_m), -cut.station_m))
    others = tuple(sorted({name for cut in cuts for name in cut.others}))
    return replace(deepest, others=others)
