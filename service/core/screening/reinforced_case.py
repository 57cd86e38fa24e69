"""A section of a wall with layers of reinforcement, as both of its screenings take it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import assert_never

from service.core.job.reinforcement import Sheet
from service.core.screening.earth_pressure import Pressure, coulomb_pressure, rankine_pressure
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import WallSection


@dataclass(frozen=True, slots=True, kw_only=True)
class Reinforced:
    """A section with layers: joints from the lowest up, all of one length from the face."""

    ground: StackSetting
    sheet: Sheet
    section: WallSection
    joints: tuple[int, ...]
    length_m: float

    @property
    def behind_m(self) -> float:
        """Length of the layers behind the units."""
        return max(0.0, self.length_m - self.ground.system.standard.depth_m)

    @property
    def batter_rad(self) -> float:
        """Lean of the face."""
        return self.ground.stack(1).batter_rad

    @property
    def slope_rad(self) -> float:
        """Slope of the ground behind."""
        return math.atan(self.section.load.back_slope)

    @property
    def elevations_m(self) -> tuple[float, ...]:
        """Layers over the underside of the lowest unit, those above the soil left out."""
        course = self.ground.system.standard.height_m
        heights = ((joint - self.section.base) * course for joint in self.joints)
        return tuple(height for height in heights if height < self.section.soil_m)

    @property
    def rise_m(self) -> float:
        """How far the slope rises over the length of the layers."""
        return self.behind_m * self.section.load.back_slope

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

    @property
    def plumb(self) -> bool:
        """Whether the face counts as plumb, with Rankine's pressure on it."""
        return self.highway and self.batter_rad < self.ground.basis.plumb_under_rad

    def pressure_within(self) -> Pressure:
        """Pressure of the fill on the units. Raises PressureLimitError."""
        soils = self.ground.soils
        if self.plumb:
            return rankine_pressure(soils.fill_friction_rad)
        return coulomb_pressure(
            soils.fill_friction_rad, soils.fill_wall_friction_rad, self.batter_rad, self.slope_rad
        )

    def pressure_behind(self) -> Pressure:
        """Pressure of the retained soil on the back of the mass. Raises PressureLimitError."""
        soils, slope = self.ground.soils, self.slope_rad
        if self.plumb:
            if slope <= 0:
                return rankine_pressure(soils.friction_rad)
            return coulomb_pressure(soils.friction_rad, min(slope, soils.friction_rad), 0.0, slope)
        friction = min(soils.friction_rad, soils.fill_friction_rad)
        return coulomb_pressure(soils.friction_rad, friction, self.batter_rad, slope)


def line_loads(case: Reinforced) -> Callable[[float], str]:
    """Shows N per m in the line load of the unit set."""
    return partial(case.ground.units.show, dimension="force_per_length")
