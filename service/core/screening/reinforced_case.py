"""A section of a wall with layers of reinforcement, as both of its screenings take it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import assert_never

from service.core.job.reinforcement import Sheet
from service.core.screening.formulas.earth_pressure import (
    Pressure,
    coulomb_pressure,
    rankine_pressure,
)
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.picture import Back, Earth, Picture, draw
from service.core.screening.section_push import SectionPush, push_of
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import WallSection


@dataclass(frozen=True, kw_only=True)
class Reinforced:
    """A section with layers: joints from the lowest up, all of one length from the face. What is
    drawn of it is drawn once."""

    ground: StackSetting
    sheet: Sheet
    section: WallSection
    joints: tuple[int, ...]
    length_m: float

    @property
    def behind_m(self) -> float:
        """Length of the layers behind the units."""
        return max(0.0, self.length_m - self.ground.system.standard.depth_m)

    @cached_property
    def batter_rad(self) -> float:
        """Lean of the face."""
        return self.ground.stack(1).batter_rad

    @cached_property
    def elevations_m(self) -> tuple[float, ...]:
        """Layers over the underside of the lowest unit, those above the soil left out."""
        course = self.ground.system.standard.height_m
        heights = ((joint - self.section.base) * course for joint in self.joints)
        return tuple(height for height in heights if height < self.section.soil_m)

    @property
    def rise_m(self) -> float:
        """How far the ground has risen where the layers end."""
        return self.rear.height_m - self.section.soil_m

    @cached_property
    def picture(self) -> Picture:
        """What lies behind the units, the cut as far back as these layers ask for."""
        return self.ground.dug_to(self.behind_m).picture(self.section, plumb=self.plumb)

    @cached_property
    def surface(self) -> tuple[WedgeSlice, ...]:
        """The ground over the layers, without loads and upper walls."""
        return self.picture.drawn.soil

    @property
    def grade_m(self) -> float:
        """How far behind the heel the ground over the layers begins."""
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

    def pressure_within(self) -> Pressure:
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
        grip = math.tan(soils.fill_friction_rad)
        fill = Earth(grip=grip, weight_n_m3=soils.fill_weight_n_m3)
        back = Back(
            from_m=0.0,
            batter=0.0 if plumb else math.tan(self.batter_rad),
            height_m=self.section.soil_m,
            friction_rad=0.0 if plumb else soils.fill_wall_friction_rad,
        )
        section, stack = self.section, self.ground.stack(self.section.courses)
        if plumb:
            flat = replace(section.load, back_slope=0.0, rises=(), existing=())
            section, stack = replace(section, load=flat), replace(stack, setback_m=0.0)
        return push_of(draw(section, stack, fill, fill, None), back)

    @cached_property
    def rear(self) -> Back:
        """The back of the mass, up to where it meets the ground: behind the lowest layer's end."""
        soils, batter = self.ground.soils, 0.0 if self.plumb else math.tan(self.batter_rad)
        height = _meets(self.surface, self.behind_m, batter, self.section.soil_m)
        friction = min(soils.friction_rad, soils.fill_friction_rad)
        if self.plumb:
            rises = max(0.0, self.section.load.steepest)
            friction = min(math.atan(rises), soils.friction_rad)
        return Back(from_m=self.behind_m, batter=batter, height_m=height, friction_rad=friction)

    @cached_property
    def behind(self) -> SectionPush:
        """What pushes on the back of the mass. Raises PressureLimitError."""
        return push_of(self.picture, self.rear)


def _meets(surface: Sequence[WedgeSlice], x_m: float, batter: float, least_m: float) -> float:
    """Height at which a back that starts behind the heel meets the ground over it."""
    for slice_ in surface:
        height = slice_.level_m + slice_.slope * (x_m - slice_.from_m)
        height /= 1 - slice_.slope * batter
        if x_m + height * batter <= slice_.to_m:
            return max(height, 0.0)
    return least_m


def line_loads(case: Reinforced) -> Callable[[float], str]:
    """Shows N per m in the line load of the unit set."""
    return partial(case.ground.units.show, dimension="force_per_length")
