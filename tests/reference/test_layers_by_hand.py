"""Masses and layers by a second method, in pounds and feet, against the checks that quotes make.

The method is that of FHWA-NHI-10-024, sections 4.4.3 to 4.4.8: a mass 4 ft high of soil of
120 lb/ft3 and 30 deg, layers 8 ft long from a plumb face without depth.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.job.basis import CheckName
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.reinforced_screen import figures
from service.core.screening.wall_section import Loading
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import BLOCKS, ground, layered_section
from tests.given.statics import PSF
from tests.given.walls import ft, inch

PLUMB = replace(
    BLOCKS,
    standard=replace(BLOCKS.standard, height_m=inch(8), depth_m=1e-9),
    setback_m=0.0,
)
TAN30 = math.tan(math.radians(30))
LONG_TERM = 3500 / (1.6 * 1.1 * 1.1)  # lb/ft
RISE = 0.25


def mass(*, slope: float = 0.0, psf: float = 0.0) -> Reinforced:
    """Six courses with layers at 8 and 32 in."""
    load = Loading(surcharge_pa=psf * PSF, back_slope=slope)
    return layered_section(ground(FHWA, blocks=PLUMB), 6, (1, 4), ft(8), load)


def value(name: CheckName, case: Reinforced) -> float:
    """The worst figure of a check."""
    return min(figures(name, case))


def sloped_push() -> float:
    """Level push of the soil behind, lb/ft: Rankine along a slope of 4:1 on 4 ft + 2 ft of rise."""
    beta, phi = math.atan(RISE), math.radians(30)
    root = math.sqrt(math.cos(beta) ** 2 - math.cos(phi) ** 2)
    coefficient = math.cos(beta) * (math.cos(beta) - root) / (math.cos(beta) + root)
    return 120 * 6**2 / 2 * coefficient * math.cos(beta)


def test_mass_under_a_slope_slides_and_leans_by_hand() -> None:
    """3,840 lb at 4 ft and the wedge above, 960 lb at 5.333 ft, against the push on 6 ft."""
    weight, holding = 3840 + 960, 3840 * 4 + 960 * 16 / 3
    push = 1.5 * sloped_push()
    case = mass(slope=RISE)
    assert value("base_sliding", case) == pytest.approx(weight * TAN30 / push, rel=1e-6)
    off = 4 - (holding - push * 2) / weight
    assert value("eccentricity", case) == pytest.approx(off / 8, rel=1e-6)


def test_layers_under_a_slope_carry_half_of_its_rise_by_hand() -> None:
    """The lowest layer carries 20 in whose middle lies 38 in deep, and 1 ft of rise above:
    1.35 x 120 x 4.1667 / 3 x 1.6667 = 375 lb/ft on 0.9 of the sheet's strength."""
    found = value("layer_tension", mass(slope=RISE))
    assert found == pytest.approx(0.9 * LONG_TERM / 375, rel=1e-6)


def test_mass_bears_the_load_on_it_by_hand() -> None:
    """1,000 psf: 14,000 lb at the middle beside 5,184 lb press 7.447 ft; the ground bears
    0.65 x 60 x 7.447 x 22.40."""
    moment = 1.5 * 320 * 4 / 3 + 1.75 * 1000 * 4 / 3 * 2
    upright = 1.35 * 3840 + 1.75 * 1000 * 8
    width = 8 - 2 * moment / upright
    bears = 0.65 * 0.5 * 120 * width * 22.40
    found = value("bearing", mass(psf=1000))
    assert found == pytest.approx(bears / (upright / width), rel=1e-3)


def test_mass_of_units_and_soil_slides_and_turns_by_hand() -> None:
    """The association's mass: six units of 12 in at 1 in, 480 lb at 8.5 in, and 4 ft x 7 ft of
    soil, 3,360 lb, whose middle leans 3 in; soil on soil pushes on its back."""
    case = layered_section(ground(ASSOCIATION), 6, (1, 4), ft(8))
    phi, omega = math.radians(30), math.atan(1 / 8)
    root = math.sqrt(math.sin(2 * phi) * math.sin(phi) / (math.cos(omega - phi) * math.cos(omega)))
    under = math.cos(omega) ** 2 * math.cos(omega - phi) * (1 + root) ** 2
    push = 120 * 4**2 / 2 * math.cos(phi + omega) ** 2 / under * math.cos(phi - omega)
    holding = 480 * 8.5 / 12 + 3360 * (1 + 3.5 + 0.25)
    assert value("base_sliding", case) == pytest.approx(3840 * TAN30 / push, rel=1e-6)
    assert value("overturning", case) == pytest.approx(holding / (push * 4 / 3), rel=1e-6)
