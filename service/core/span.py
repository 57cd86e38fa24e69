"""Stretches of a wall over which its cross-section changes smoothly."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from service.core.ground import Existing
from service.core.layout import WallLayout
from service.core.levels import Stretch
from service.core.plan import Piece
from service.core.rounding import CLOSE_M
from service.core.trench import Digging


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Stations over which joints stay the same, levels and ground are linear, and the plan is one
    straight or one arc."""

    from_m: float
    to_m: float
    stretch: Stretch
    piece: Piece
    existing: Existing
    stone_bottom_m: float


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
            yield Span(
                from_m=from_m,
                to_m=to_m,
                stretch=stretch,
                piece=piece,
                existing=existing,
                stone_bottom_m=_stone_bottom_m(layout, digging, stretch, (from_m + to_m) / 2),
            )


def _end_of(part: Stretch | Existing) -> float:
    return part.to_m


def _stone_bottom_m(
    layout: WallLayout, digging: Digging, stretch: Stretch, station_m: float
) -> float:
    """Bottom of the drainage stone (contract section 4, 10)."""
    if digging.drainage.starts_at == "pad":
        return layout.grid.level_m(stretch.base)
    front = stretch.interval.at(station_m).front_m
    return layout.grid.level_m(max(stretch.base + 1, layout.grid.at_or_below(front)))


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
            marks.append(from_m + min(1.0, max(0.0, share)) * (to_m - from_m))
    start = from_m
    for mark in sorted(marks):
        if mark - start >= CLOSE_M and to_m - mark >= CLOSE_M:
            yield start, mark
            start = mark
    yield start, to_m
