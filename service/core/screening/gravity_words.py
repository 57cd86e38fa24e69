"""The arithmetic of a check of a plain stack in words: the loads of a section, then the ratio."""

from __future__ import annotations

import math
from functools import partial

from service.core.job.basis import CheckName, LoadFactors
from service.core.measure import UnitSet, number
from service.core.screening.earth_pressure import Pressure, Thrust
from service.core.screening.gravity import Footing, Stack
from service.core.screening.wall_section import WallSection

NO_FACTORS = LoadFactors()


def loads_in_words(
    section: WallSection, stack: Stack, pressure: Pressure, pushed: Thrust, units: UnitSet
) -> str:
    """Height, pressure, thrust and weight at one section."""
    show, line = units.show, partial(units.show, dimension="force_per_length")
    return (
        f"{section.courses} courses, soil {show(section.soil_m, 'length')} over their underside, "
        f"Ka {number(pressure.coefficient, 5)}: thrust of soil {line(pushed.soil_n_m)}, of load "
        f"{line(pushed.surcharge_n_m)}; units {line(stack.weight_n_m)} at "
        f"{show(stack.lever_m, 'length')} from the toe"
    )


def ratio_in_words(
    name: CheckName,
    section: WallSection,
    stack: Stack,
    footing: Footing,
    base_friction_rad: float,
    units: UnitSet,
) -> str:
    """What is divided by what."""
    show = units.show
    height = section.soil_m
    arms = f"soil x {show(height / 3, 'length')} + load x {show(height / 2, 'length')}"
    base = show(stack.depth_m, "length")
    if name == "base_sliding":
        return f"units x tan {_degrees(base_friction_rad)} / (soil + load)"
    if name == "overturning":
        return f"units x {show(stack.lever_m, 'length')} / ({arms})"
    if name == "eccentricity":
        lever = show(stack.lever_m, "length")
        return f"({base} / 2 - {lever} + ({arms}) / units) / {base}"
    if name == "bearing":
        return (
            f"units on {base} less twice the eccentricity, spread by "
            f"{show(footing.pad_m, 'length')} of pad, on ground of "
            f"{_degrees(footing.friction_rad)}, {show(footing.depth_m, 'length')} deep"
        )
    if name == "hinge_height":
        hinge = show(stack.hinge_height_m or 0.0, "length")
        return f"hinge height {hinge} / {show(stack.height_m, 'length')} of units"
    return "the weakest joint between two courses: strength / thrust above it"


def factors_in_words(factors: LoadFactors) -> tuple[str, ...]:
    """Load and resistance factors, where the basis has some."""
    if factors == NO_FACTORS:
        return ()
    words = (
        f"factors: weight {number(factors.weight_low, 3)} to {number(factors.weight_high, 3)}, "
        f"soil {number(factors.soil, 3)}, load {number(factors.live, 3)}; of what resists: sliding "
        f"{number(factors.sliding, 3)}, bearing {number(factors.bearing, 3)}"
    )
    return (words,)


def _degrees(angle_rad: float) -> str:
    return f"{number(math.degrees(angle_rad), 4)} deg"
