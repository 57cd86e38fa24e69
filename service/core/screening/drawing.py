"""What lies and stands behind a section, as slices: its ground, the walls above it, and loads.

Offsets run from the heel of the lowest unit toward the soil, levels from its underside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.core.screening.formulas.gravity import Stack
from service.core.screening.formulas.ground_lines import (
    broken_line,
    loaded,
    through,
    until_met,
    weighing,
)
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.wall_section import WallSection

_LEAST_M = 1e-6  # narrower ground is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Spans of the soil alone, of all ground with upper walls, and of the loads; the line of the
    ground that was there."""

    soil: tuple[WedgeSlice, ...]
    standing: tuple[WedgeSlice, ...]
    loads: tuple[WedgeSlice, ...]
    top: tuple[WedgeSlice, ...]


def draw_behind(section: WallSection, stack: Stack, fill_n_m3: float) -> Drawn:
    """What lies and stands behind a section of such a stack, with fill of a weight."""
    return _Drawing(stack, fill_n_m3).behind(section, 0.0, 0.0)


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
        stack = self._of(section.courses)
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
        between = WedgeSlice(start, face, level, (front - level) / (face - start))
        own = [between, WedgeSlice(face, math.inf, front, 0.0)]
        above = self.behind(upper.section, face + self.stack.depth_m, level + upper.underside_m)
        stack, low = self._of(upper.section.courses), level + upper.underside_m
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

    def _of(self, courses: int) -> Stack:
        """The stack with so many courses."""
        return self.stack if courses == self.stack.courses else replace(self.stack, courses=courses)

    def _own(self, place: _Place) -> tuple[list[WedgeSlice], list[WedgeSlice]]:
        """Finished ground until it meets existing ground, and existing ground itself (the same
        line where nobody measured it)."""
        load, (start, level) = place.section.load, place.back
        if not load.rises and not load.existing:
            even = [WedgeSlice(start, math.inf, level, load.back_slope)]
            return even, even
        slopes = [(start, load.back_slope)]
        rises = sorted((max(place.offset(rise.from_m), start), rise.slope) for rise in load.rises)
        finished = broken_line(level, [*slopes, *rises])
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
