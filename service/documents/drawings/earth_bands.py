"""Where a wall's earthwork lies beside its plan line: bands of cut and of fill between stations.

Reaches are those of the sections that were dug (rules 13.3 to 13.9); beside a corner a band ends
where that of its neighbor begins.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Literal

from service.core.ground.earthwork import WallEarthwork
from service.core.ground.region import moments
from service.core.layout.layout import WallLayout
from service.documents.drawings.plan_line import PartDrawn, place_at, trace

Kind = Literal["cut", "fill"]
Point = tuple[float, float]
_NOTHING = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What happens between two offsets from the plan line at a station, None: nothing."""

    station_m: float
    near_m: float
    far_m: float
    kind: Kind | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """An area on the ground, in meters, that is cut or filled."""

    kind: Kind
    outline: tuple[Point, ...]


def bands_of(layout: WallLayout, earth: WallEarthwork, apart_m: float) -> Iterator[Band]:
    """The bands of one wall; sections closer than `apart_m` are left out between others."""
    drawn = trace(layout.spec.plan)
    for reaches in zip(
        *(_reaches(earth, index) for index in kept_sections(earth, apart_m)), strict=True
    ):
        for part, (from_m, to_m), ends in _legs_of(layout, drawn):
            inside = list(_within(reaches, part, (from_m, to_m), ends))
            for kind, run in _runs(inside):
                yield Band(kind=kind, outline=tuple(_outline(part, run, (from_m, to_m), ends)))


def kept_sections(earth: WallEarthwork, apart_m: float) -> list[int]:
    """Sections by their place: the first and the last, and of the others one in so many meters."""
    stations = [each.station_m for each in earth.extents]
    kept = [0]
    for index in range(1, len(stations) - 1):
        if stations[index] - stations[kept[-1]] >= apart_m:
            kept.append(index)
    return [*kept, len(stations) - 1]


def _reaches(earth: WallEarthwork, index: int) -> tuple[Reach, Reach, Reach]:
    """In front of the trench, from there to the top of the cut, and behind that."""
    extent, edges, fill = earth.extents[index], earth.edges[index], earth.fill_sections[index]
    station, behind_m2 = extent.station_m, moments(fill.behind)[0]
    front, back = -edges.reach.front_m, edges.reach.behind_m
    before: Kind = "fill" if fill.area_m2 - behind_m2 > _NOTHING else "cut"
    after: Kind = "fill" if behind_m2 > _NOTHING else "cut"
    return (
        _reach(station, -extent.front_m, front, before),
        _reach(station, front, back, "cut"),
        _reach(station, back, extent.behind_m, after),
    )


def _reach(station_m: float, near_m: float, far_m: float, kind: Kind) -> Reach:
    there = far_m - near_m > _NOTHING
    return Reach(station_m=station_m, near_m=near_m, far_m=far_m, kind=kind if there else None)


def _within(
    reaches: Sequence[Reach], leg: tuple[PartDrawn, ...], span: tuple[float, float], ends: _Ends
) -> Iterator[Reach]:
    """Reaches at the stations of a leg: its two ends, those of sections and of points of curves,
    and where its edges meet the mitres of its corners."""
    from_m, to_m = span
    low, high = from_m + _NOTHING, to_m - _NOTHING
    first, last = _at(reaches, low, from_m), _at(reaches, high, to_m)
    between = {place.station_m for part in leg for place in part.places}
    between |= {from_m + _loss(ends.before_rad, x) for x in (first.near_m, first.far_m)}
    between |= {to_m - _loss(ends.after_rad, x) for x in (last.near_m, last.far_m)}
    between -= {each.station_m for each in reaches}
    all_of_them = [*reaches, *(_at(reaches, station, station) for station in between)]
    yield first
    for each in sorted(all_of_them, key=lambda each: each.station_m):
        if low < each.station_m < high:
            yield each
    yield last


def _loss(turn_rad: float | None, offset_m: float) -> float:
    """What a corner takes of the line moved so far; 0 where it takes nothing."""
    return 0.0 if turn_rad is None else max(0.0, offset_m * math.tan(turn_rad / 2))


def is_clear(layout: WallLayout, station_m: float, offset_m: float) -> bool:
    """Whether a place beside the line lies on no other leg's side of a corner."""
    return all(
        _loss(joint.turn_rad, offset_m) <= abs(station_m - corner_m)
        and abs(station_m - corner_m) > _NOTHING
        for corner_m, joint in layout.plan.corners
    )


def _at(reaches: Sequence[Reach], beside_m: float, station_m: float) -> Reach:
    """What is reached at a station, between the sections before and after it."""
    for before, after in pairwise(reaches):
        if before.station_m <= beside_m <= after.station_m:
            long = after.station_m - before.station_m
            share = (beside_m - before.station_m) / long if long > 0 else 0.0
            return Reach(
                station_m=station_m,
                near_m=before.near_m + share * (after.near_m - before.near_m),
                far_m=before.far_m + share * (after.far_m - before.far_m),
                kind=before.kind or after.kind,
            )
    nearest = min(reaches, key=lambda each: abs(each.station_m - beside_m))
    return Reach(station_m=station_m, near_m=nearest.near_m, far_m=nearest.far_m, kind=nearest.kind)


def _runs(reaches: Sequence[Reach]) -> Iterator[tuple[Kind, list[Reach]]]:
    """Neighboring reaches of one kind, each run up to where the next one begins."""
    first = 0
    for kind, same in groupby(reaches, key=lambda each: each.kind):
        last = first + len(list(same))
        run = list(reaches[first : min(last + 1, len(reaches))])
        first = last
        if kind is not None and len(run) > 1:
            yield kind, run


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ends:
    """Turns at the corners before and after a leg, to the left above 0; None at an end."""

    before_rad: float | None
    after_rad: float | None


def _legs_of(
    layout: WallLayout, drawn: tuple[PartDrawn, ...]
) -> Iterator[tuple[tuple[PartDrawn, ...], tuple[float, float], _Ends]]:
    """Each leg between corners: its parts, its stations, the corners at its ends."""
    corners = [(station, joint.turn_rad) for station, joint in layout.plan.corners]
    marks = [0.0, *(station for station, _ in corners), layout.length_m]
    turns = [None, *(turn for _, turn in corners), None]
    parts: list[list[PartDrawn]] = [[]]
    for part in drawn:
        if part.part.length_m == 0:
            parts.append([])
        else:
            parts[-1].append(part)
    for number, (a, b) in enumerate(pairwise(marks)):
        ends = _Ends(before_rad=turns[number], after_rad=turns[number + 1])
        yield tuple(parts[number]), (a, b), ends


def _outline(
    leg: tuple[PartDrawn, ...], run: Sequence[Reach], span: tuple[float, float], ends: _Ends
) -> Iterator[Point]:
    """The far edge onward, the near edge back; at a corner both end on its mitre."""
    yield from (_point(leg, each.station_m, each.far_m, span, ends) for each in run)
    yield from (_point(leg, each.station_m, each.near_m, span, ends) for each in reversed(run))


def _point(
    leg: tuple[PartDrawn, ...],
    station_m: float,
    offset_m: float,
    span: tuple[float, float],
    ends: _Ends,
) -> Point:
    """A place beside the line. What a corner takes ends on its mitre; on the other side of it the
    leg runs on to the mitre."""
    along = 0.0
    for turn, away, way in (
        (ends.before_rad, station_m - span[0], -1.0),
        (ends.after_rad, span[1] - station_m, 1.0),
    ):
        if turn is None:
            continue
        loss = offset_m * math.tan(turn / 2)
        if loss > away + _NOTHING:
            offset_m = away / math.tan(turn / 2)
        elif loss < 0 and away < _NOTHING:
            along = way * -loss
    return place_at(leg, station_m).beside(offset_m, along)
