"""A wall as a plain stack of units: contract section 4 (14), at every distinct section.

A first look, never a design. Passive resistance, ground beside the base, the cap and the vertical
part of the thrust are left out, all on the safe side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from service.core.job.basis import Basis, CheckName
from service.core.job.wall_system import WallSystem
from service.core.measure import UnitSet
from service.core.screening import gravity
from service.core.screening.check import Check, Finding, holds, judge, not_checked, worst
from service.core.screening.earth_pressure import (
    Pressure,
    PressureLimitError,
    Thrust,
    coulomb_pressure,
    thrust,
)
from service.core.screening.gravity import Footing, Stack
from service.core.screening.gravity_words import factors_in_words, loads_in_words, ratio_in_words
from service.core.screening.soil_figures import SoilFigures
from service.core.screening.wall_section import LoadAt, Loading, WallSection

TOO_STEEP = "the slope behind is steeper than the soil's friction angle: no such slope stands"
NO_SOIL = "soil behind: back grade is nowhere above the base"
_FALLS_AWAY = "bearing on ground that falls away in front"
STACK_CHECKS: tuple[CheckName, ...] = (
    "base_sliding",
    "overturning",
    "eccentricity",
    "bearing",
    "interface_shear",
    "hinge_height",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What a stack of units is held against: soils, pad, slope in front, and the rule book."""

    system: WallSystem
    unit_weight_n_m3: float
    soils: SoilFigures
    pad_m: float
    front_slope: float
    basis: Basis
    units: UnitSet

    def stack(self, courses: int) -> Stack:
        """So many courses of the system's standard unit."""
        return Stack(
            courses=courses,
            course_height_m=self.system.standard.height_m,
            depth_m=self.system.standard.depth_m,
            setback_m=self.system.setback_m,
            unit_weight_n_m3=self.unit_weight_n_m3,
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

    @property
    def missing_for_bearing(self) -> tuple[str, ...]:
        """What a bearing check lacks: the capacity is that of level ground."""
        return (_FALLS_AWAY,) if self.front_slope > 0 else ()

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


def screen_gravity(
    sections: Sequence[WallSection],
    ground: Ground,
    wall: str,
    assumed: Mapping[CheckName, tuple[str, ...]],
) -> tuple[Check, ...]:
    """All checks of a plain stack, each from its governing section.

    `assumed` are the defaults each check rests on. A check that the basis has no figure for, or
    that lacks data, is not checked and says what is missing.
    """
    held = [section for section in sections if section.soil_m > 0]
    return tuple(_check(name, held, ground, wall, assumed.get(name, ())) for name in _asked(ground))


def _asked(ground: Ground) -> Iterator[CheckName]:
    """The checks that apply: hinge height only over a batter that the basis names."""
    for name in STACK_CHECKS:
        if name != "hinge_height" or ground.stack(1).batter_rad > ground.basis.hinge_over_rad:
            yield name


def _check(
    name: CheckName,
    held: Sequence[WallSection],
    ground: Ground,
    wall: str,
    assumed: tuple[str, ...],
) -> Check:
    required = ground.basis.required(name, reinforced=False)
    source = required.source if required else ground.basis.source
    if required is None:
        lacks = f"a limit: the basis {ground.basis.id} has none for {name} of a plain stack"
        return not_checked(name, wall, [lacks], source)
    if not held:
        return not_checked(name, wall, [NO_SOIL], source)
    if name == "interface_shear" and ground.system.interface is None:
        lacks = f"wall_systems/{ground.system.id}: interface, tested shear strength between units"
        return not_checked(name, wall, [lacks], source)
    found = [(_finding(name, section, ground), section) for section in held]
    governing = worst(finding for finding, _ in found)
    section = next(section for finding, section in found if finding is governing)
    told = replace(governing, how=_how(name, section, ground))
    return judge(told, required, wall, "gravity", assumed)


def _finding(name: CheckName, section: WallSection, ground: Ground) -> Finding:
    try:
        pressure = ground.pressure(section.load)
    except PressureLimitError:
        value = math.inf if name == "eccentricity" else 0.0
        return Finding(check=name, station_m=section.station_m, value=value)
    pushed = thrust(section.soil_m, ground.soils.weight_n_m3, section.load.surcharge_pa, pressure)
    return Finding(
        check=name,
        station_m=section.station_m,
        value=_value(name, section, ground.stack(section.courses), pushed, ground),
        missing=ground.missing_for_bearing if name == "bearing" else (),
    )


def _value(
    name: CheckName, section: WallSection, stack: Stack, pushed: Thrust, ground: Ground
) -> float:
    """The ratio of one check at one section."""
    weight, lever, height = stack.weight_n_m, stack.lever_m, section.soil_m
    factors = ground.basis.factors
    if name == "base_sliding":
        return gravity.sliding(weight, ground.soils.base_friction_rad, pushed, factors)
    if name == "overturning":
        return gravity.overturning(weight, lever, pushed, height, factors)
    if name == "eccentricity":
        return gravity.eccentricity(weight, lever, stack.depth_m, pushed, height, factors)
    if name == "bearing":
        footing = ground.footing(stack.depth_m)
        return gravity.bearing(weight, lever, footing, pushed, height, factors)
    if name == "hinge_height":
        hinge = stack.hinge_height_m
        return math.inf if hinge is None else hinge / stack.height_m
    return min(_shear_ratios(section, stack, ground), default=math.inf)


def _shear_ratios(section: WallSection, stack: Stack, ground: Ground) -> Iterator[float]:
    """Shear strength over thrust at every joint between two courses."""
    interface = ground.system.interface
    if interface is None:
        return
    pressure = ground.pressure(section.load)
    for joint in range(1, stack.courses):
        soil_m = section.soil_m - joint * stack.course_height_m
        if soil_m <= 0:
            return
        above = ground.stack(stack.courses - joint).hinged_weight_n_m
        pushed = thrust(soil_m, ground.soils.weight_n_m3, section.load.surcharge_pa, pressure)
        yield gravity.interface_shear(
            interface.strength_n_m,
            interface.friction_rad,
            interface.most_n_m,
            above,
            pushed,
            ground.basis.factors,
        )


def _how(name: CheckName, section: WallSection, ground: Ground) -> tuple[str, ...]:
    """The arithmetic of a check at a section."""
    try:
        pressure = ground.pressure(section.load)
    except PressureLimitError:
        return (TOO_STEEP,)
    stack, units = ground.stack(section.courses), ground.units
    pushed = thrust(section.soil_m, ground.soils.weight_n_m3, section.load.surcharge_pa, pressure)
    footing = ground.footing(stack.depth_m)
    friction = ground.soils.base_friction_rad
    return (
        loads_in_words(section, stack, pressure, pushed, units),
        ratio_in_words(name, section, stack, footing, friction, units),
        *factors_in_words(ground.basis.factors),
    )


def tallest_courses(ground: Ground, load_at: LoadAt, most: int) -> int:
    """Courses of the tallest plain stack that passes every check with soil up to its top.

    Information only. Level ground in front, no depth of burial; 0 where not even one passes.
    """
    courses = 0
    while courses < most and _passes(ground, load_at, courses + 1):
        courses += 1
    return courses


def _passes(ground: Ground, load_at: LoadAt, courses: int) -> bool:
    height = courses * ground.system.standard.height_m
    section = WallSection(station_m=0.0, base=0, top=courses, soil_m=height, load=load_at(height))
    return not fails_as_stack(section, ground)


def fails_as_stack(section: WallSection, ground: Ground) -> bool:
    """Whether any check of a plain stack fails at a section, where soil stands behind it."""
    if section.soil_m <= 0:
        return False
    return any(
        not holds(name, _finding(name, section, ground).value, required)
        for name in _asked(ground)
        if (required := ground.basis.required(name, reinforced=False))
        and (name != "interface_shear" or ground.system.interface is not None)
    )
