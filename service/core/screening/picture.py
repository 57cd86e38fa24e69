"""The ground behind one section, drawn for trial wedges, and what it pushes over any height.

Offsets run from the heel of the lowest unit toward the soil, levels from its underside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.core.quadrature import GAUSS
from service.core.screening.formulas.earth_pressure import PressureLimitError, Thrust
from service.core.screening.formulas.gravity import Stack
from service.core.screening.formulas.ground_lines import (
    after,
    before,
    broken_line,
    loaded,
    lower_of,
    through,
    until_met,
    weighing,
)
from service.core.screening.formulas.wedge import Friction, Ground, Wedge
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.wall_section import WallSection

_LEAST_M = 1e-6  # narrower ground is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Earth:
    """One soil: tangent of its friction angle, and its weight."""

    grip: float
    weight_n_m3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutEdge:
    """Where the ground as it lies begins: so far behind the heel, rising so much in 1 (math.inf:
    upright)."""

    floor_m: float
    slope: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Back:
    """The back that is pushed: where it starts behind the heel, how it leans, its height, and the
    friction along it."""

    from_m: float
    batter: float
    height_m: float
    friction_rad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Spans of the soil alone, of all ground with upper walls, and of the loads; the line of the
    ground that was there."""

    soil: tuple[WedgeSlice, ...]
    standing: tuple[WedgeSlice, ...]
    loads: tuple[WedgeSlice, ...]
    top: tuple[WedgeSlice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What is drawn, the soils, and the cut between them (None: one soil all round)."""

    drawn: Drawn
    fill: Earth
    native: Earth
    cut: CutEdge | None

    def ground(self, back: Back, cut: CutEdge | None, *, walls: bool, loads: bool) -> Ground:
        """All that pushes on a back, with or without upper walls and loads."""
        slices = list(self.drawn.standing if walls else self.drawn.soil)
        slices += self.drawn.loads if loads else ()
        top = back.from_m + back.batter * back.height_m
        slices = after(slices, top)
        if top - back.from_m > _LEAST_M:
            weight = self.fill.weight_n_m3
            slices.append(WedgeSlice(back.from_m, top, 0.0, 1 / back.batter, weight))
        lines = self._behind_the_cut(back, cut) if cut else []
        slices += weighing(lines, self.native.weight_n_m3 - self.fill.weight_n_m3)
        friction = Friction(
            fill=self.fill.grip,
            native=self.native.grip if cut else self.fill.grip,
            back_rad=back.friction_rad,
            batter=back.batter,
        )
        return Ground(slices=tuple(slices), native=tuple(lines), friction=friction)

    def _behind_the_cut(self, back: Back, cut: CutEdge) -> list[WedgeSlice]:
        """The line under which the ground lies as it was."""
        start = max(cut.floor_m, back.from_m)
        top = after(self.drawn.top, start)
        if top[0].from_m > start:  # under the leaning back
            top.insert(0, WedgeSlice(start, top[0].from_m, top[0].level_m, 0.0, 0.0))
        lines = lower_of(top, self.drawn.soil)
        if math.isfinite(cut.slope):
            level = cut.slope * (start - cut.floor_m)
            lines = lower_of([WedgeSlice(start, math.inf, level, cut.slope, 0.0)], lines)
        end = back.from_m + back.batter * back.height_m
        if end - start > _LEAST_M:
            upper = WedgeSlice(back.from_m, end, 0.0, 1 / back.batter, 0.0)
            lines = [*lower_of(before(lines, end), [upper]), *after(lines, end)]
        return lines

    def push(self, back: Back, over_m: float, *, walls: bool, loads: bool) -> Wedge:
        """The wedge through the back at a height that pushes most.

        A cut that begins less than a sixth of the height behind the heel is, where that pushes
        more, moved toward it: linearly from the push at the heel to that at a sixth.
        """
        found = self._push(back, self.cut, over_m, walls=walls, loads=loads)
        sixth = back.height_m / 6
        if self.cut is None or not 0 <= self.cut.floor_m - back.from_m < sixth:
            return found
        near, far = (
            self._push(back, replace(self.cut, floor_m=at), over_m, walls=walls, loads=loads)
            for at in (back.from_m, back.from_m + sixth)
        )
        share = (self.cut.floor_m - back.from_m) / sixth
        moved = near.push_n_m + share * (far.push_n_m - near.push_n_m)
        return replace(near, push_n_m=moved) if moved > found.push_n_m else found

    def _push(
        self, back: Back, cut: CutEdge | None, over_m: float, *, walls: bool, loads: bool
    ) -> Wedge:
        ground = self.ground(back, cut, walls=walls, loads=loads)
        return ground.largest(back.from_m + back.batter * over_m, over_m)

    def parts(self, back: Back, over_m: float) -> Thrust:
        """What soil alone, upper walls and loads push on the back over a height; where the added
        part acts is left open."""
        soil = self.push(back, over_m, walls=False, loads=False).push_n_m
        standing = walls = soil
        if self.drawn.standing != self.drawn.soil:
            walls = self.push(back, over_m, walls=True, loads=False).push_n_m
            standing = max(soil, walls)
        added = 0.0
        if self.drawn.loads:
            every = self.push(back, over_m, walls=True, loads=True).push_n_m
            added = max(0.0, every - standing)
        return Thrust(soil_n_m=soil, tiers_n_m=standing - soil, surcharge_n_m=added)

    def thrust(self, back: Back) -> Thrust:
        """What pushes on the whole back; what loads and upper walls add acts at half of the height
        or, where that turns more, at the height that the integral of it over depth gives."""
        whole = self.parts(back, 0.0)
        if self.drawn.standing == self.drawn.soil and not self.drawn.loads:
            return whole
        height = back.height_m
        over = [(self.parts(back, at * height), share * height) for at, share in GAUSS]
        tiers = math.fsum(part.tiers_n_m * height for part, height in over)
        loads = math.fsum(part.surcharge_n_m * height for part, height in over)
        if tiers + loads <= whole.added_n_m * back.height_m / 2:
            return whole
        return replace(whole, added_n=(tiers, loads))


def draw(
    section: WallSection, stack: Stack, fill: Earth, native: Earth, cut: CutEdge | None
) -> Picture:
    """What lies and stands behind a section. Raises PressureLimitError where stated ground is
    steeper than its friction."""
    least = min(fill.grip, native.grip) if cut else fill.grip
    if section.load.steepest > least * (1 + 1e-9):
        raise PressureLimitError("the ground behind is steeper than its friction")
    drawn = _Drawing(stack, fill.weight_n_m3).behind(section, 0.0, 0.0)
    return Picture(drawn=drawn, fill=fill, native=native, cut=cut)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where a section stands in the picture: its heel, and where its plan line is."""

    section: WallSection
    stack: Stack
    x_m: float
    y_m: float

    def offset(self, from_plan_m: float) -> float:
        """Where something lies so far behind the plan line."""
        return self.x_m + from_plan_m - self.section.face_m - self.stack.depth_m

    @property
    def back(self) -> tuple[float, float]:
        """Where the leaning back plane meets the back grade."""
        soil = self.section.soil_m
        return self.x_m + soil * math.tan(self.stack.batter_rad), self.y_m + soil

    @property
    def loads_from_m(self) -> float:
        """Where loads begin: behind the top course, or behind that point."""
        return max(self.back[0], self.x_m + (self.stack.courses - 1) * self.stack.setback_m)


class _Drawing:
    """Draws the walls above each other, from the lowest up."""

    def __init__(self, stack: Stack, fill_n_m3: float) -> None:
        self.stack, self.fill = stack, fill_n_m3

    def behind(self, section: WallSection, x_m: float, y_m: float) -> Drawn:
        """What lies behind a section whose heel is here."""
        stack = replace(self.stack, courses=section.courses)
        place = _Place(section=section, stack=stack, x_m=x_m, y_m=y_m)
        load, (start, level) = section.load, place.back
        finished, top = self._own(place)
        upper = load.upper
        if upper is None:
            soil = tuple(weighing(finished, self.fill))
            loads = tuple(self._loads(place, finished, math.inf))
            return Drawn(soil=soil, standing=soil, loads=loads, top=tuple(top))
        face = max(place.offset(upper.offset_m + upper.section.face_m), start + _LEAST_M)
        front = level + upper.front_m
        between = WedgeSlice(start, face, level, (front - level) / (face - start), 0.0)
        own = [between, WedgeSlice(face, math.inf, front, 0.0, 0.0)]
        above = self.behind(upper.section, face + self.stack.depth_m, level + upper.underside_m)
        stack, low = replace(self.stack, courses=upper.section.courses), level + upper.underside_m
        body = _body(stack, face, low)
        around = _around(stack, face, low, upper.section.soil_m, self.fill)
        standing = (*weighing([between], self.fill), *body, *around, *above.standing)
        loads = (*self._loads(place, [between], face), *above.loads)
        return Drawn(
            soil=tuple(weighing(own, self.fill)),
            standing=standing,
            loads=loads,
            top=tuple(top if load.existing else own),
        )

    def _own(self, place: _Place) -> tuple[list[WedgeSlice], list[WedgeSlice]]:
        """Finished ground until it meets existing ground, and existing ground itself (the same
        line where nobody measured it)."""
        load, (start, level) = place.section.load, place.back
        if not load.rises and not load.existing:
            even = [WedgeSlice(start, math.inf, level, load.back_slope, 0.0)]
            return even, even
        slopes = [(start, load.back_slope)]
        rises = sorted((max(place.offset(rise.from_m), start), rise.slope) for rise in load.rises)
        finished = broken_line(start, level, [*slopes, *rises])
        if not load.existing:
            return finished, finished
        points = [(place.offset(x), level + y) for x, y in load.existing]
        existing = through(points, load.existing_slope)
        return until_met(finished, existing), existing

    def _loads(self, place: _Place, lines: list[WedgeSlice], to_m: float) -> Iterator[WedgeSlice]:
        load, begins = place.section.load, place.loads_from_m
        if load.surcharge_pa:
            yield from loaded(lines, begins, to_m, load.surcharge_pa)
        for strip in load.strips:
            at = max(place.offset(strip.from_m), begins)
            yield from loaded(lines, at, to_m, strip.load_pa)


def _body(stack: Stack, face_m: float, underside_m: float) -> Iterator[WedgeSlice]:
    """The courses and the cap of an upper wall, each so much of them at its own weight."""
    step, depth, course = stack.setback_m, stack.depth_m, stack.course_height_m
    for joint in range(stack.courses):
        low, front = underside_m + joint * course, face_m + joint * step
        yield from _block(front, front + depth, low, course, stack.unit_weight_n_m3)
    if stack.cap is not None:
        cap = stack.cap
        front = face_m + (stack.courses - 1) * step + cap.middle_m - cap.depth_m / 2
        weight = cap.weight_n_m / (cap.depth_m * cap.height_m)
        low = underside_m + stack.height_m
        yield from _block(front, front + cap.depth_m, low, cap.height_m, weight)


def _block(
    front_m: float, rear_m: float, low_m: float, height_m: float, weight_n_m3: float
) -> Iterator[WedgeSlice]:
    yield WedgeSlice(front_m, rear_m, low_m + height_m, 0.0, weight_n_m3)
    yield WedgeSlice(front_m, rear_m, low_m, 0.0, -weight_n_m3)


def _around(
    stack: Stack, face_m: float, underside_m: float, soil_m: float, fill_n_m3: float
) -> Iterator[WedgeSlice]:
    """The ground under an upper wall, and behind its courses up to its leaning back plane."""
    depth, grade = stack.depth_m, underside_m + soil_m
    back = face_m + depth + soil_m * math.tan(stack.batter_rad)
    yield WedgeSlice(face_m, face_m + depth, underside_m, 0.0, fill_n_m3)
    for joint in range(stack.courses):
        rear = face_m + joint * stack.setback_m + depth
        last = joint == stack.courses - 1
        end = back if last else min(rear + stack.setback_m, back)
        top = grade if last else min(underside_m + (joint + 1) * stack.course_height_m, grade)
        if end > rear:
            yield WedgeSlice(rear, end, top, 0.0, fill_n_m3)
