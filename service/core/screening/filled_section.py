"""A section of a wall with the fill behind its units, as all layers in it take it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import assert_never

from service.core.screening.formulas.earth_pressure import (
    Pressure,
    Thrust,
    coulomb_pressure,
    failure_plane_rad,
    rankine_pressure,
)
from service.core.screening.formulas.layer_statics import Tributary, tributaries
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.picture import Back, Earth, Picture, draw
from service.core.screening.section_push import SectionPush, push_of
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import WallSection


@dataclass(frozen=True, slots=True, kw_only=True)
class RowPushes:
    """Layers of one section whatever their length, those above the soil left out: their heights
    over the underside of the lowest unit, what of the wall each carries, and what pushes on the
    units over the lower and the upper end of that."""

    elevations_m: tuple[float, ...]
    carried: tuple[Tributary, ...]
    pushed: tuple[tuple[Thrust, Thrust], ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class FilledSection:
    """A section with the fill behind its units, whatever layers lie in it. What is drawn of it is
    drawn once: sections that stand alike share one."""

    ground: StackSetting
    section: WallSection
    _rows: dict[tuple[int, ...], RowPushes] = field(default_factory=dict, init=False, repr=False)

    @property
    def batter_rad(self) -> float:
        """Lean of the face."""
        return self.ground.stack(1).batter_rad

    @cached_property
    def picture(self) -> Picture:
        """What lies behind the units, the cut as far back as a plain stack asks for."""
        return self.ground.picture(self.section, plumb=self.plumb)

    @property
    def surface(self) -> tuple[WedgeSlice, ...]:
        """The ground behind, without loads and upper walls. Raises PressureLimitError."""
        return self.picture.drawn.soil

    @property
    def grade_m(self) -> float:
        """How far behind the heel the ground over the fill begins."""
        return 0.0 if self.plumb else self.section.soil_m * math.tan(self.batter_rad)

    @property
    def highway(self) -> bool:
        """Whether the highway manual's forms hold instead of the association's."""
        match self.ground.basis.id:
            case "fhwa":
                return True
            case "association":
                return False
            case other:
                assert_never(other)

    @cached_property
    def plumb(self) -> bool:
        """Whether the face counts as plumb, with Rankine's pressure on it."""
        return self.highway and self.batter_rad < self.ground.basis.plumb_under_rad

    @cached_property
    def pressure(self) -> Pressure:
        """Pressure of the fill on the units. Raises PressureLimitError."""
        soils = self.ground.soils
        if self.plumb:
            return rankine_pressure(soils.fill_friction_rad)
        slope = math.atan(self.surface[0].slope)
        friction, wall = soils.fill_friction_rad, soils.fill_wall_friction_rad
        return coulomb_pressure(friction, wall, self.batter_rad, slope)

    @cached_property
    def within(self) -> SectionPush:
        """What the fill pushes on the units. Raises PressureLimitError."""
        soils, plumb = self.ground.soils, self.plumb
        fill = Earth(grip=math.tan(soils.fill_friction_rad), weight_n_m3=soils.fill_weight_n_m3)
        back = Back(
            from_m=0.0,
            batter=0.0 if plumb else math.tan(self.batter_rad),
            height_m=self.section.soil_m,
            friction_rad=0.0 if plumb else soils.fill_wall_friction_rad,
        )
        if not plumb and self.ground.cut is None and self.ground.native == fill:
            return push_of(self.picture, back)
        section, stack = self.section, self.ground.stack(self.section.courses)
        if plumb:
            flat = replace(section.load, back_slope=0.0, rises=(), existing=())
            section, stack = replace(section, load=flat), replace(stack, setback_m=0.0)
        return push_of(draw(section, stack, fill, fill, None), back)

    def rows(self, joints: tuple[int, ...]) -> RowPushes:
        """Layers on these joints, worked out once. Raises PressureLimitError."""
        if (found := self._rows.get(joints)) is None:
            self._rows[joints] = found = self._with_pushes(joints)
        return found

    def _with_pushes(self, joints: tuple[int, ...]) -> RowPushes:
        elevations = self.elevations_m(joints)
        carried = tributaries(elevations, self.section.soil_m)
        middles = [(self.section.soil_m - c.middle_depth_m, c.height_m / 2) for c in carried]
        pushed = tuple(
            (self.within.over(max(0.0, middle - half)), self.within.over(middle + half))
            for middle, half in middles
        )
        return RowPushes(elevations_m=elevations, carried=carried, pushed=pushed)

    def elevations_m(self, joints: tuple[int, ...]) -> tuple[float, ...]:
        """Joints in soil, over the underside of the lowest unit."""
        course = self.ground.system.standard.height_m
        heights = ((joint - self.section.base) * course for joint in joints)
        return tuple(height for height in heights if height < self.section.soil_m)

    @cached_property
    def failure_plane_rad(self) -> float:
        """Angle of the plane from the heel that slides first under soil alone (rule 14.14): loads
        and upper walls pull at the layers, and move no plane. Raises PressureLimitError."""
        if self.within.pressure is None:
            return math.atan(self.within.soil_wedge.plane)
        slope = math.atan(self.surface[0].slope)
        friction, wall = (
            self.ground.soils.fill_friction_rad,
            self.ground.soils.fill_wall_friction_rad,
        )
        return failure_plane_rad(friction, wall, self.batter_rad, slope)
