"""The ground behind one section, drawn for trial wedges, and what it pushes over any height.

Offsets run from the heel of the lowest unit toward the soil, levels from its underside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from service.core.quadrature import GAUSS
from service.core.rounding import CLOSE_SHARE
from service.core.screening.drawing import Drawn, draw_behind
from service.core.screening.formulas.earth_pressure import PressureLimitError, Thrust
from service.core.screening.formulas.gravity import Stack
from service.core.screening.formulas.ground_lines import (
    after,
    before,
    lower_of,
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
class Picture:
    """What is drawn, the soils, and the cut between them (None: one soil all round), which begins
    nowhere before a back that is pushed."""

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
        start = cut.floor_m
        top = after(self.drawn.top, start)
        before_top = WedgeSlice(start, top[0].from_m, top[0].level_m, 0.0)  # under the leaning back
        lines = lower_of([before_top, *top], self.drawn.soil)
        if math.isfinite(cut.slope):
            lines = lower_of([WedgeSlice(start, math.inf, 0.0, cut.slope)], lines)
        end = back.from_m + back.batter * back.height_m
        if end - start > _LEAST_M:
            upper = WedgeSlice(back.from_m, end, 0.0, 1 / back.batter)
            lines = [*lower_of(before(lines, end), [upper]), *after(lines, end)]
        return lines

    def push(self, back: Back, over_m: float, *, walls: bool, loads: bool) -> Wedge:
        """The wedge through the back at a height that pushes most.

        A cut that begins less than a sixth of the height behind the heel is, where that pushes
        more, moved toward it: linearly from the push at the heel to that at a sixth.
        """
        found = self._push(back, self.cut, over_m, walls=walls, loads=loads)
        sixth = back.height_m / 6
        if self.cut is None or self.cut.floor_m - back.from_m >= sixth:
            return found
        near, far = (
            self._push(back, replace(self.cut, floor_m=at), over_m, walls=walls, loads=loads)
            for at in (back.from_m, back.from_m + sixth)
        )
        share = (self.cut.floor_m - back.from_m) / sixth
        moved = near.push_n_m + share * (far.push_n_m - near.push_n_m)
        return replace(near, push_n_m=moved) if _beyond(found.push_n_m, moved) else found

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
            standing = soil + _beyond(soil, walls)
        added = 0.0
        if self.drawn.loads:
            every = self.push(back, over_m, walls=True, loads=True).push_n_m
            added = _beyond(standing, every)
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


def _beyond(push: float, larger: float) -> float:
    """What a push has beyond another; two that close are equal."""
    return larger - push if larger > push * (1 + CLOSE_SHARE) else 0.0


def draw(
    section: WallSection, stack: Stack, fill: Earth, native: Earth, cut: CutEdge | None
) -> Picture:
    """What lies and stands behind a section. Raises PressureLimitError where stated ground is
    steeper than its friction."""
    least = min(fill.grip, native.grip) if cut else fill.grip
    if section.load.steepest > least * (1 + 1e-9):
        raise PressureLimitError("the ground behind is steeper than its friction")
    drawn = draw_behind(section, stack, fill.weight_n_m3)
    return Picture(drawn=drawn, fill=fill, native=native, cut=cut)
