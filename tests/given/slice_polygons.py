"""A second method for earthwork: each slice as polygons, cut and joined by Shapely.

Straight walls only. Nothing of the service's earthwork is used: soil, ground, trench and stone are
drawn as polygons from the words of rule 13, finished ground is walked outward in
small steps until it meets existing ground, and slices are added up by their middles.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import cached_property

from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from service.core.job.section import Section
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.layout.profile import Levels

FAR = 60.0  # m, beyond everything that is drawn
STEP = 0.05  # m, of the walk along finished ground
LIMIT = 15.24  # m


@dataclass(frozen=True)
class Sliced:
    """Cut, backfill and fill: areas of a slice in m2, or volumes in m3."""

    cut: float
    backfill: float
    fill: float


@dataclass(frozen=True)
class Points:
    """A line through points."""

    xs: tuple[float, ...]
    zs: tuple[float, ...]

    def at(self, x: float) -> float:
        """Level at an offset."""
        i = min(max(bisect_left(self.xs, x), 1), len(self.xs) - 1)
        share = (x - self.xs[i - 1]) / (self.xs[i] - self.xs[i - 1])
        return self.zs[i - 1] + share * (self.zs[i] - self.zs[i - 1])

    def below(self, x1: float, x2: float) -> Polygon:
        """What lies under the line between two offsets."""
        inner = [x for x in self.xs if x1 < x < x2]
        top = [(x, self.at(x)) for x in (x1, *inner, x2)]
        return Polygon([(x1, -FAR), *top, (x2, -FAR)])


def ray(x: float, z: float, slope: float) -> Points:
    """A straight line."""
    reach = 4 * FAR
    return Points((x - reach, x + reach), (z - slope * reach, z + slope * reach))


def slices(layout: WallLayout, section: Section, cut_slope: float, count: int) -> Sliced:
    """Cut, backfill and fill of a straight wall without its ends."""
    step = layout.length_m / count
    areas = [Slice(layout, section, cut_slope, (i + 0.5) * step).areas() for i in range(count)]
    return Sliced(
        cut=step * math.fsum(a.cut for a in areas),
        backfill=step * math.fsum(a.backfill for a in areas),
        fill=step * math.fsum(a.fill for a in areas),
    )


def existing_at(layout: WallLayout, station: float) -> Points:
    """Existing ground at a station, its levels linear between the entries around it."""
    spec = layout.spec
    stations = [entry.station.at_m for entry in spec.profile]
    i = bisect_left(stations, station)
    before, after = spec.profile[i - 1], spec.profile[i]
    share = (station - stations[i - 1]) / (stations[i] - stations[i - 1])
    if before.existing_section:
        lines = [
            Points(*(tuple(c) for c in zip(*entry.existing_section, strict=True)))
            for entry in (before, after)
        ]
        xs = tuple(sorted({x for line in lines for x in line.xs}))
        return Points(xs, tuple((1 - share) * lines[0].at(x) + share * lines[1].at(x) for x in xs))
    assert before.existing_grade_m is not None
    assert after.existing_grade_m is not None
    grade = before.existing_grade_m + share * (after.existing_grade_m - before.existing_grade_m)
    return ray(0.0, grade, spec.existing_slope)


def walk(line: Points, ground: Points, start: float, way: int, reach: float) -> float | None:
    """First offset at which a line meets the ground on the way out, within `reach` of 0."""
    gap = line.at(start) - ground.at(start)
    if abs(gap) < 1e-5:
        return start
    x = start
    while way * x < reach:
        there = min(way * x + STEP, reach) * way
        new = line.at(there) - ground.at(there)
        if new * gap <= 0:
            return x + (there - x) * gap / (gap - new)
        x, gap = there, new
    return None


@dataclass(frozen=True)
class Slice:
    """One slice of a wall."""

    layout: WallLayout
    section: Section
    cut_slope: float
    station: float

    @cached_property
    def stretch(self) -> Stretch:
        """The stretch it lies in."""
        return next(s for s in self.layout.stretches if s.from_m <= self.station <= s.to_m)

    @cached_property
    def levels(self) -> Levels:
        """Levels here."""
        return self.stretch.interval.at(self.station)

    @cached_property
    def ground(self) -> Points:
        """Existing ground."""
        return existing_at(self.layout, self.station)

    @cached_property
    def edges(self) -> tuple[float, float, float, float, float]:
        """Front and rear of the trench, end of the floor; level of the floor, of the bottom."""
        pad, system = self.section.leveling_pad, self.layout.system
        assert self.section.excavation is not None
        face = self.layout.offset_m(self.stretch.base)
        rear = face + system.standard.depth_m + pad.rear_extension_m + pad.overdig_m
        stone = face + system.standard.depth_m + self.section.drainage.width_m
        z = self.layout.grid.level_m(self.stretch.base)
        return (
            face - pad.front_extension_m,
            rear,
            max(rear, stone) + self.section.excavation.working_room_m,
            z,
            z - pad.thickness_m - pad.overdig_m,
        )

    @cached_property
    def cut_end(self) -> float:
        """Where the cut face meets the ground."""
        _, _, floor, z, _ = self.edges
        if self.cut_slope == 0 or self.ground.at(floor) <= z:
            return floor
        met = walk(ray(floor, z, 1 / self.cut_slope), self.ground, floor, 1, FAR)
        assert met is not None
        return met

    @cached_property
    def opened(self) -> Polygon:
        """Trench, floor and slope, open to the sky."""
        front, rear, floor, z, bottom = self.edges
        parts = [box(front, bottom, rear, FAR), box(front, z, floor, FAR)]
        top = self.cut_end
        if top > floor:
            rise = z + (top - floor) / self.cut_slope
            parts.append(Polygon([(floor, z), (top, rise), (top, FAR), (floor, FAR)]))
        return unary_union(parts)

    @cached_property
    def back(self) -> float:
        """Back of the top course."""
        return (
            self.layout.offset_m(self.stretch.top_joint - 1) + self.layout.system.standard.depth_m
        )

    @cached_property
    def in_front(self) -> tuple[Polygon, float]:
        """Finished ground in front, and where the work ends."""
        spec, edge = self.layout.spec, self.edges[0]
        line = ray(0.0, self.levels.front_m, spec.front_slope)
        given = spec.graded_in_front_m
        reach = max(-edge, LIMIT if given is None else given)
        met = walk(line, self.ground, 0.0, -1, reach)
        if met is None:
            assert given is not None
            return line.below(-FAR, FAR), min(-given, edge)
        surface = unary_union([line.below(met, FAR), self.ground.below(-FAR, met)])
        return surface, min(met, edge)

    @cached_property
    def behind(self) -> tuple[Polygon, float]:
        """Finished ground behind, and where the work ends."""
        spec = self.layout.spec
        line = ray(self.back, self.levels.back_m, spec.back_slope)
        given = spec.graded_behind_m
        reach = max(self.cut_end, LIMIT if given is None else given)
        met = walk(line, self.ground, self.back, 1, reach)
        if met is None:
            assert given is not None
            return line.below(-FAR, FAR), max(given, self.cut_end)
        surface = unary_union([line.below(-FAR, met), self.ground.below(met, FAR)])
        return surface, max(met, self.cut_end)

    def structure(self) -> Polygon:
        """Pad, units, cap and drainage stone."""
        front, rear, _, z, bottom = self.edges
        grid, system = self.layout.grid, self.layout.system
        depth, course = system.standard.depth_m, grid.course_m
        low, high = self.stone()
        parts = [box(front, bottom, rear, z)]
        for joint in range(self.stretch.base, self.stretch.top_joint):
            x, under = self.layout.offset_m(joint), grid.level_m(joint)
            parts.append(box(x, under, x + depth, under + course))
            top = high if joint == self.stretch.top_joint - 1 else min(high, under + course)
            if top > max(under, low):
                width = self.section.drainage.width_m
                parts.append(box(x + depth, max(under, low), x + depth + width, top))
        if system.cap:
            x, top = self.back - depth, grid.level_m(self.stretch.top_joint)
            parts.append(box(x, top, x + system.cap.depth_m, top + system.cap.height_m))
        return unary_union(parts)

    def stone(self) -> tuple[float, float]:
        """Bottom and top of the drainage stone."""
        grid, drainage = self.layout.grid, self.section.drainage
        low = grid.level_m(self.stretch.base)
        if drainage.starts_at == "buried_course":
            low = max(low + grid.course_m, grid.level_m(grid.at_or_below(self.levels.front_m)))
        return low, self.levels.top_m - drainage.stops_below_top_m

    def hillside(self) -> Polygon:
        """What lies behind the faces, course by course, and behind the top course above them."""
        grid = self.layout.grid
        parts = [
            box(self.layout.offset_m(j), grid.level_m(j), FAR, grid.level_m(j) + grid.course_m)
            for j in range(self.stretch.base, self.stretch.top_joint)
        ]
        return unary_union([*parts, box(self.back, grid.level_m(self.stretch.top_joint), FAR, FAR)])

    def areas(self) -> Sliced:
        """Cut, backfill and fill."""
        front, rear, floor, z, bottom = self.edges
        top, earth = self.cut_end, self.ground.below(-FAR, FAR)
        hillside = self.hillside()
        face = self.layout.offset_m(self.stretch.top_joint - 1)
        open_air = box(-FAR, z, FAR, FAR).difference(hillside)
        valley, structure = open_air.intersection(box(-FAR, z, face, FAR)), self.structure()
        (ahead, front_end), (behind, back_end) = self.in_front, self.behind
        left = earth.difference(self.opened)
        cut, fill = earth.intersection(self.opened).area, 0.0
        for a, b, surface in ((front_end, front, ahead), (top, back_end, behind)):
            strip = box(a, -FAR, b, FAR)
            cut += earth.intersection(strip).difference(surface).area
            gained = surface.intersection(strip).difference(earth)
            if surface is behind:
                gained = gained.difference(unary_union([structure, open_air]))
            fill += gained.area
        if top > floor:
            # finished ground behind that lies below the cut face is cut as well
            cut += left.intersection(box(floor, -FAR, top, FAR)).difference(behind).area
        soil = unary_union([ahead.intersection(valley), behind.intersection(hillside)])
        within = box(front, -FAR, top, FAR)
        placed = soil.intersection(within).difference(unary_union([left, structure]))
        under = box(front, -FAR, rear, bottom).union(box(rear, -FAR, floor, z))
        return Sliced(cut=cut, backfill=placed.area + under.difference(left).area, fill=fill)
