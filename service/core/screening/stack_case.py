"""A section of a wall as a plain stack of units, and what it is held against."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from service.core.job.basis import Basis
from service.core.job.factors import Factors
from service.core.job.wall_system import WallSystem
from service.core.measure import UnitSet
from service.core.screening.cap_weight import cap_weight
from service.core.screening.earth_pressure import Pressure, Thrust, coulomb_pressure, thrust
from service.core.screening.gravity import Footing, Stack
from service.core.screening.soil_figures import SoilFigures
from service.core.screening.wall_section import Loading, WallSection


@dataclass(frozen=True, slots=True, kw_only=True)
class StackSetting:
    """What a stack of units is held against: soils, pad, slope in front, and the rule book."""

    system: WallSystem
    unit_weight_n_m3: float
    soils: SoilFigures
    pad_m: float
    front_slope: float
    basis: Basis
    units: UnitSet

    def stack(self, courses: int) -> Stack:
        """So many courses of the system's standard unit, and the cap on them."""
        return Stack(
            courses=courses,
            course_height_m=self.system.standard.height_m,
            depth_m=self.system.standard.depth_m,
            setback_m=self.system.setback_m,
            unit_weight_n_m3=self.unit_weight_n_m3,
            cap=cap_weight(self.system),
        )

    def footing(self, base_m: float) -> Footing:
        """What a base stands on. Ground in front adds no depth: it can be dug away, and a wall
        that is set deeper would pass where a shallower one fails."""
        return Footing(
            width_m=base_m,
            pad_m=self.pad_m,
            friction_rad=self.soils.foundation_friction_rad,
            weight_n_m3=self.soils.foundation_weight_n_m3,
            depth_m=0.0,
        )

    def pressure(self, load: Loading) -> Pressure:
        """Earth pressure on the back of the units. Raises PressureLimitError."""
        return _pressure(
            self.soils.friction_rad,
            self.soils.wall_friction_rad,
            math.atan2(self.system.setback_m, self.system.standard.height_m),
            math.atan(load.back_slope),
        )


# Most sections of a wall share one slope.
_pressure = lru_cache(maxsize=256)(coulomb_pressure)


@dataclass(frozen=True, slots=True, kw_only=True)
class StackCase:
    """The stack of one section, the pressure on its back and the thrust down to its base."""

    ground: StackSetting
    section: WallSection
    stack: Stack
    pressure: Pressure
    pushed: Thrust

    @property
    def factors(self) -> Factors:
        """Load and resistance factors of the basis."""
        return self.ground.basis.factors

    def pushed_above(self, soil_m: float) -> Thrust:
        """Thrust of the uppermost so much of the soil."""
        return _thrust(self.ground, self.section, soil_m, self.pressure)


def stack_case(section: WallSection, ground: StackSetting) -> StackCase:
    """A section as a plain stack. Raises PressureLimitError."""
    pressure = ground.pressure(section.load)
    return StackCase(
        ground=ground,
        section=section,
        stack=ground.stack(section.courses),
        pressure=pressure,
        pushed=_thrust(ground, section, section.soil_m, pressure),
    )


def _thrust(
    ground: StackSetting, section: WallSection, soil_m: float, pressure: Pressure
) -> Thrust:
    return thrust(soil_m, ground.soils.weight_n_m3, section.load.surcharge_pa, pressure)
