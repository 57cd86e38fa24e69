"""Stretches of a wall over which its cross-section changes smoothly."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise
from typing import assert_never

from service.core.ground.ground import Existing
from service.core.ground.trench import Digging, Reach
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.layout.piece import Piece
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Stations over which joints and reinforcement stay the same, levels and ground are linear,
    and the plan is one straight or one arc."""

    from_m: float
    to_m: float
    stretch: Stretch
    piece: Piece
    existing: Existing
    stone_bottom_m: float
    reach_m: float


def spans_of(
    layout: WallLayout, digging: Digging, ground: Sequence[Existing], piece: Piece
) -> Iterator[Span]:
    """The spans of one piece of the plan, in order: `ground` covers the wall from end to end."""
    first = bisect_right(layout.stretches, piece.from_m, key=_end_of)
    for stretch in islice(layout.stretches, first, None):
        if stretch.from_m >= piece.to_m:
            return
        a, b = max(stretch.from_m, piece.from_m), min(stretch.to_m, piece.to_m)
        if b - a < CLOSE_M:
            continue
        existing = ground[bisect_right(ground, (a + b) / 2, key=_end_of)]
        for from_m, to_m in _stone_parts(layout, digging, stretch, a, b):
            for part_from_m, part_to_m, reach_m in _reach_parts(digging.reaches, from_m, to_m):
                middle = (part_from_m + part_to_m) / 2
                yield Span(
                    from_m=part_from_m,
                    to_m=part_to_m,
                    stretch=stretch,
                    piece=piece,
                    existing=existing,
                    stone_bottom_m=_stone_bottom_m(layout, digging, stretch, middle),
                    reach_m=reach_m,
                )


def _end_of(part: Stretch | Existing | Reach) -> float:
    return part.to_m


def _stone_bottom_m(
    layout: WallLayout, digging: Digging, stretch: Stretch, station_m: float
) -> float:
    """Bottom of the drainage stone (rule 10.2)."""
    match digging.drainage.starts_at:
        case "pad":
            return layout.grid.level_m(stretch.base)
        case "buried_course":
            front = stretch.interval.at(station_m).front_m
            return layout.grid.level_m(max(stretch.base + 1, layout.grid.at_or_below(front)))
        case other:
            assert_never(other)


def _reach_parts(
    reaches: Sequence[Reach], from_m: float, to_m: float
) -> Iterator[tuple[float, float, float]]:
    """Stations cut where reinforcement begins, ends or changes its length, with its reach."""
    first = bisect_right(reaches, from_m, key=_end_of)
    inside = [each for each in islice(reaches, first, None) if each.from_m < to_m]
    ends = [from_m]
    for mark in (mark for each in inside for mark in (each.from_m, each.to_m)):
        if mark - ends[-1] >= CLOSE_M and to_m - mark >= CLOSE_M:
            ends.append(mark)
    for start, end in pairwise((*ends, to_m)):
        middle = (start + end) / 2
        over = (each.reach_m for each in inside if each.from_m <= middle <= each.to_m)
        yield start, end, next(over, 0.0)


def _stone_parts(
    layout: WallLayout, digging: Digging, stretch: Stretch, from_m: float, to_m: float
) -> Iterator[tuple[float, float]]:
    """Stations cut where the front grade passes a joint, if the stone begins there."""
    marks = []
    first, last = (stretch.interval.at(place).front_m for place in (from_m, to_m))
    if digging.drainage.starts_at == "buried_course" and abs(last - first) > CLOSE_M:
        low, high = min(first, last), max(first, last)
        for joint in range(layout.grid.at_or_above(low), layout.grid.at_or_below(high) + 1):
            share = (layout.grid.level_m(joint) - first) / (last - first)
            marks.append(from_m + share * (to_m - from_m))
    start = from_m
    for mark in sorted(marks):
        if mark - start >= CLOSE_M and to_m - mark >= CLOSE_M:
            yield start, mark
            start = mark
    yield start, to_m
