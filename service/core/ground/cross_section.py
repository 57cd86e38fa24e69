"""What is dug, filled and left at one station: the cross-section of a wall's earthwork.

Rules 13.3 to 13.9. The trench under the pad has vertical sides; at pad-top level the cut runs
back over the floor and rises at the cut slope until it meets existing ground. Finished ground in
front passes through the front grade at the plan line; behind, it starts at the back of the top
course; each ends where it first meets existing ground. Topsoil lowers both: the cut starts below
the strip, backfill and fill end below what is put back. The ground is cut to make room for it.

Offsets are positive toward the soil, levels over the request's datum, in meters.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import assert_never

from service.core.ground.finished import Finished, outline_of
from service.core.ground.region import SAME_M, GroundLine, Line, Region, Trapezoid, moments
from service.core.ground.trench import Digging, Trench, TrenchStation
from service.core.job.graded import WallSide
from service.core.job.section import Drainage
from service.core.layout.layout import WallLayout
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossSection:
    """Areas at one station as trapezoids over offsets, and their moments in the same order.

    `cut` is existing ground taken away, `backfill` put back between trench front and top of cut,
    `fill` put beyond them; `disturbed` is the ground touched, `bare` its finished part that is
    neither unit nor stone face; `built_m` is how far back units and stone reach. `front_edge_m` is
    how high the trench stands upright in front, `face_m` how high the face behind the floor is,
    from pad top to existing ground. `left_front_m`, `left_behind_m`: finished less existing ground
    at a stated distance, 0 where they met. `shape` tells apart sections between which earth is no
    prismoid: by the lines that bound it, what grading ends at, the courses that it ends at.
    """

    station_m: float
    trench: Trench
    cut: tuple[Trapezoid, ...]
    backfill: tuple[Trapezoid, ...]
    fill: tuple[Trapezoid, ...]
    disturbed: tuple[Trapezoid, ...]
    bare: tuple[Trapezoid, ...]
    front_m: float
    back_m: float
    built_m: float
    cut_ends_at_m: float
    depth_m: float
    front_edge_m: float
    face_m: float
    left_front_m: float
    left_behind_m: float
    shape: tuple[object, ...]
    totals: tuple[tuple[float, float], ...] = field(init=False)

    def __post_init__(self) -> None:
        totals = tuple(moments(trapezoids) for trapezoids in self.areas)
        object.__setattr__(self, "totals", totals)

    def left_m(self, side: WallSide) -> float:
        """What is left standing on one side."""
        match side:
            case "front":
                return self.left_front_m
            case "behind":
                return self.left_behind_m
            case other:
                assert_never(other)

    @property
    def areas(self) -> tuple[tuple[Trapezoid, ...], ...]:
        """Cut, backfill, fill, ground disturbed, bare ground."""
        return self.cut, self.backfill, self.fill, self.disturbed, self.bare


def draw_section(layout: WallLayout, digging: Digging, place: TrenchStation) -> CrossSection:
    """The cross-section at a place.

    Raises CutNeverMeetsError, GradingDistanceError, GroundShortError.
    """
    outline = outline_of(layout, digging, place)
    trench, cut_end = outline.trench, outline.cut_end_m
    front, behind = outline.front, outline.behind
    draft = _Draft(layout, digging, place, trench, outline.face, cut_end, front, behind)
    draft.dig()
    draft.grade()
    draft.fill_front()
    draft.fill_behind()
    draft.fill_beyond()
    bare = tuple(draft.bare())
    return CrossSection(
        station_m=place.station_m,
        trench=trench,
        cut=tuple(draft.cut.trapezoids),
        backfill=tuple(draft.backfill.trapezoids),
        fill=tuple(draft.fill.trapezoids),
        disturbed=((front.end_m, 1.0, behind.end_m, 1.0),),
        bare=bare,
        front_m=front.end_m,
        back_m=behind.end_m,
        built_m=draft.farthest,
        cut_ends_at_m=cut_end,
        depth_m=outline.depth_m,
        front_edge_m=place.ground.at(trench.front_m) - trench.bottom_m,
        face_m=place.ground.at(cut_end) - trench.pad_top_m,
        left_front_m=front.left_m,
        left_behind_m=behind.left_m,
        shape=(
            *(tuple(each.codes) for each in (draft.cut, draft.backfill, draft.fill)),
            *(_ends_at(side) for side in (front, behind)),
            *(bare[0][2], bare[1][0], *(rear for _, _, rear in draft.layers)),
        ),
    )


@dataclass(slots=True)
class _Draft:
    """A section while it is drawn."""

    layout: WallLayout
    digging: Digging
    place: TrenchStation
    trench: Trench
    face: Line | None
    cut_end: float
    front: Finished
    behind: Finished
    cut: Region = field(default_factory=Region)
    backfill: Region = field(default_factory=Region)
    fill: Region = field(default_factory=Region)
    stripped: GroundLine = field(init=False)
    restored: GroundLine = field(init=False)
    front_line: Line = field(init=False)
    back_line: Line = field(init=False)
    faces: tuple[Line, ...] = field(init=False)
    layers: tuple[tuple[float, float, float], ...] = field(init=False)
    farthest: float = field(init=False)

    def __post_init__(self) -> None:
        """Ground without its topsoil; existing and finished ground under the topsoil put back; the
        cut face, if it slopes; layers of the structure's rear, and how far back they reach."""
        topsoil, ground = self.digging.topsoil, self.place.ground
        self.stripped = ground.lowered(topsoil.strip_m)
        self.restored = ground.lowered(topsoil.replace_m)
        self.front_line = self.front.line.lowered(topsoil.replace_m)
        self.back_line = self.behind.line.lowered(topsoil.replace_m)
        self.faces = (self.face,) if self.face else ()
        self.layers = tuple(_layers(self.layout, self.digging.drainage, self.place))
        self.farthest = max(rear for _, _, rear in self.layers)

    def dig(self) -> None:
        """Trench, floor and slope; deeper where finished ground behind lies below the slope.

        Where existing ground lies below trench or floor, they stand on backfill.
        """
        trench, ground = self.trench, self.stripped
        for level, a, b in (
            (trench.bottom_m, trench.front_m, trench.rear_m),
            (trench.pad_top_m, trench.rear_m, trench.floor_m),
        ):
            bottom = _level(level)
            self.cut.add([ground], [bottom], a, b)
            self.backfill.add([bottom], [ground], a, b)
        if self.face is None:
            return
        self.cut.add([ground], [self.face], trench.floor_m, self.cut_end)
        for line, a, b in self.finished_behind(trench.floor_m, self.cut_end):
            self.cut.add([ground, self.face], [line], a, b)
            if self.digging.topsoil.strip_m > 0:
                # near the top of the cut the strip of topsoil goes deeper than the slope
                self.backfill.add([line, self.face], [ground], a, b)

    def grade(self) -> None:
        """Cut beyond the front of the trench and beyond the top of the cut; fill in front."""
        front_edge, front_end = self.trench.front_m, self.front.end_m
        self.cut.add([self.stripped], [self.front_line], front_end, front_edge)
        self.fill.add([self.front_line], [self.stripped], front_end, front_edge)
        self.cut.add([self.stripped], [self.back_line], self.cut_end, self.behind.end_m)

    def finished_behind(
        self, from_m: float, to_m: float
    ) -> Iterator[tuple[GroundLine, float, float]]:
        """Where backfill ends: along finished ground, then along existing ground."""
        met = to_m if self.behind.met_m is None else min(max(self.behind.met_m, from_m), to_m)
        yield self.back_line, from_m, met
        if met < to_m:
            yield self.restored, met, to_m

    def bare(self) -> Iterator[Trapezoid]:
        """Finished ground in front, up to the face it meets, and behind units and stone."""
        place = self.place
        under = self.layout.grid.at_or_above(place.levels.front_m) - 1
        face = self.layout.offset_m(min(max(place.base, under), place.top_joint - 1))
        yield self.front.end_m, 1.0, face, 1.0
        level = place.levels.back_m - 2 * CLOSE_M
        rears = (rear for low, high, rear in self.layers if low <= level < high)
        start = max((self.behind.line.x_m, *rears))
        yield start, 1.0, max(self.behind.end_m, start), 1.0

    def fill_front(self) -> None:
        """Soil before the units, course by course, and before the cap above the top joint."""
        grid, start = self.layout.grid, self.trench.front_m
        finished = self.front_line
        met = start if self.front.met_m is None else max(self.front.met_m, start)
        for joint in range(self.place.base, self.place.top_joint + 1):
            low = grid.level_m(joint)
            face = self.layout.offset_m(min(joint, self.place.top_joint - 1))
            if met == start and max(finished.at(start), finished.at(face)) <= low + SAME_M:
                break
            ceiling = _ceiling(math.inf if joint == self.place.top_joint else low + grid.course_m)
            floor = _level(low)
            turn = min(met, face)
            self.backfill.add([self.restored, *ceiling], [floor], start, turn)
            self.backfill.add([finished, *ceiling], [floor], turn, face)

    def fill_behind(self) -> None:
        """Soil behind units and stone: layer by layer near them, in one beyond the farthest."""
        common = min(self.farthest, self.cut_end)
        for low, high, rear in self.layers:
            if self.is_full(low, high, rear, common):
                self.backfill.add_block(high - low, rear, common)
                continue
            for line, a, b in self.finished_behind(rear, common):
                self.backfill.add([line, *_ceiling(high)], [_level(low), *self.faces], a, b)
        bottom = _level(self.trench.pad_top_m)
        for line, a, b in self.finished_behind(common, self.cut_end):
            self.backfill.add([line], [bottom, *self.faces], a, b)

    def fill_beyond(self) -> None:
        """Fill behind the top of the cut; where units and stone lean over it, layer by layer."""
        line, ground, end = self.back_line, self.stripped, self.behind.end_m
        common = min(max(self.farthest, self.cut_end), end)
        lowest = self.layers[0][0]
        if common > self.cut_end:
            for low, high, rear in self.layers:
                floor = () if low == lowest else (_level(low),)
                start = max(rear, self.cut_end)
                self.fill.add([line, *_ceiling(high)], [ground, *floor], start, common)
        self.fill.add([line], [ground], common, end)

    def is_full(self, low_m: float, high_m: float, from_m: float, to_m: float) -> bool:
        """Whether a layer lies under finished ground and over the cut face from end to end."""
        line, met = self.back_line, self.behind.met_m
        return (
            line.at(from_m) >= high_m
            and line.at(to_m) >= high_m
            and (met is None or met >= to_m)
            and (self.face is None or self.face.at(to_m) <= low_m)
        )


def _ends_at(side: Finished) -> tuple[bool, bool]:
    """What grading ends at on one side: where grounds meet, before that, or where they don't."""
    return side.met_m is None, side.met_m == side.end_m


def _level(level_m: float) -> Line:
    """A level line."""
    return Line(0.0, level_m)


def _ceiling(level_m: float) -> tuple[Line, ...]:
    """The top of a layer, if it has one."""
    return () if math.isinf(level_m) else (_level(level_m),)


def _layers(
    layout: WallLayout, drainage: Drainage, place: TrenchStation
) -> Iterator[tuple[float, float, float]]:
    """Levels between which the rear of units and stone stands still: (low, high, rear offset)."""
    grid, system = layout.grid, layout.system
    stone = place.stone_bottom_m, place.levels.top_m - drainage.stops_below_top_m
    top = grid.level_m(place.top_joint)
    cap_top = top + system.cap_height_m
    bottom = grid.level_m(place.base)
    marks = [grid.level_m(joint) for joint in range(place.base, place.top_joint + 1)]
    marks += [mark for mark in (cap_top, *stone) if mark > bottom]
    for low, high in pairwise((*sorted(marks), math.inf)):
        if high - low <= SAME_M:
            continue
        middle = low + 1.0 if math.isinf(high) else (low + high) / 2
        joint = min(max(place.base, grid.at_or_below(middle)), place.top_joint - 1)
        rear = layout.offset_m(joint) + system.standard.depth_m
        stone_rear = rear + drainage.width_m if stone[0] < middle < stone[1] else rear
        if system.cap and top < middle < cap_top:
            rear = max(rear, layout.offset_m(place.top_joint - 1) + system.cap.depth_m)
        yield low, high, max(rear, stone_rear)
