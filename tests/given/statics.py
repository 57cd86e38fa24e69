"""Units of published statics in SI, and the stack of the constructed sets."""

from __future__ import annotations

import math

from service.core.screening.formulas.earth_pressure import (
    Pressure,
    Thrust,
    coulomb_pressure,
    thrust,
)
from service.core.screening.formulas.gravity import Stack
from tests.given.walls import inch

LB = 0.45359237 * 9.80665  # N
FOOT = 0.3048
LB_FT = LB / FOOT  # N/m
PSF = LB / FOOT**2  # Pa
PCF = LB / FOOT**3  # N/m3
KIP_FT = 1000 * LB_FT
KSF = 1000 * PSF
KN = 1000.0

deg = math.radians


def wall_friction(friction_deg: float) -> float:
    """Two thirds of a soil's friction angle, rad."""
    return deg(friction_deg) * 2 / 3


def leaning(friction_deg: float, batter_deg: float = 0.0, slope_deg: float = 0.0) -> Pressure:
    """Coulomb's pressure with wall friction of two thirds."""
    friction = deg(friction_deg)
    return coulomb_pressure(friction, friction * 2 / 3, deg(batter_deg), deg(slope_deg))


def stack(courses: int, setback_in: float = 0.75) -> Stack:
    """Units 8 in high and 12 in deep, 120 pcf in place."""
    return Stack(
        courses=courses,
        course_height_m=inch(8),
        depth_m=inch(12),
        setback_m=inch(setback_in),
        unit_weight_n_m3=120 * PCF,
    )


def on_stack(wall: Stack, friction_deg: float, slope_deg: float = 0.0, psf: float = 0.0) -> Thrust:
    """Thrust of 120 pcf on the back of a stack."""
    pressure = leaning(friction_deg, math.degrees(wall.batter_rad), slope_deg)
    return thrust(wall.height_m, 120 * PCF, psf * PSF, pressure)


def lb_ft_thrust(soil: float, surcharge: float = 0.0) -> Thrust:
    """A thrust given in lb/ft."""
    return Thrust(soil_n_m=soil * LB_FT, surcharge_n_m=surcharge * LB_FT)


def total_n_m(pushed: Thrust) -> float:
    """Soil and surcharge together."""
    return pushed.soil_n_m + pushed.surcharge_n_m
