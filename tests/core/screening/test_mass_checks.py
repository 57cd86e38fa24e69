"""What a mass with layers stands on and carries, by hand."""

from __future__ import annotations

import math
from dataclasses import asdict, replace

import pytest

from service.core.screening.formulas import gravity
from service.core.screening.mass_checks import MassCase, bearing, mass_case, sliding
from service.core.screening.picture import draw
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.wall_section import Loading, Strip, UpperWall, WallSection
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import LEVEL, ground, layered_section
from tests.given.statics import LB_FT, PCF, PSF, deg
from tests.given.walls import ft, system

UPRIGHT = system(setback=0.0, cap=None)
THIN = replace(UPRIGHT, standard=replace(UPRIGHT.standard, depth_m=1e-9))


def mass(load: Loading, blocks_pcf: float = 120.0) -> MassCase:
    """Six upright courses, 4 ft of soil, layers of 8 ft: 7 ft behind the units."""
    setting = replace(ground(ASSOCIATION, blocks=UPRIGHT), unit_weight_n_m3=blocks_pcf * PCF)
    return mass_case(layered_section(setting, 6, (1, 4), ft(8), load))


def bears(case: MassCase, live_lb_ft: float) -> float:
    """The ratio of the formula with so much on the mass."""
    return gravity.bearing(
        case.weight_n_m,
        case.lever_m,
        case.footing,
        case.pushed,
        case.height_m,
        case.factors,
        live_lb_ft * LB_FT,
    )


@pytest.mark.parametrize("place", ["foundation_friction_rad", "fill_friction_rad"])
def test_mass_slides_on_the_weaker_of_its_soils(place: str) -> None:
    """3,840 lb/ft by the manual on 20 deg; soil of 30 deg behind pushes 1.5 x 320."""
    setting = ground(FHWA, blocks=THIN)
    setting = replace(setting, soils=replace(setting.soils, **{place: deg(20)}))
    case = mass_case(layered_section(setting, 6, (1, 4), ft(8)))
    assert sliding(case) == pytest.approx(3840 * math.tan(deg(20)) / 480, rel=1e-6)


def test_mass_stands_on_soil_where_units_stand_on_their_pad() -> None:
    """8 ft of layers, 12 in of units on 6 in of stone; what lies before them adds no depth."""
    mass_on, soil = mass(LEVEL), {"friction_rad": deg(30), "weight_n_m3": pytest.approx(120 * PCF)}
    units_on = mass_on.layered.ground.footing(ft(1))
    assert asdict(mass_on.footing) == {"width_m": ft(8), "pad_m": 0.0, "depth_m": 0.0, **soil}
    assert asdict(units_on) == {"width_m": ft(1), "pad_m": ft(0.5), "depth_m": 0.0, **soil}


@pytest.mark.parametrize(
    ("from_ft", "carried"),
    [(0, 7000), (5, 3000), (7.5, 500), (10, 0)],  # from 1 ft on: units carry no load
)
def test_mass_carries_what_of_a_load_stands_on_it(from_ft: float, carried: float) -> None:
    """1,000 lb/ft2 from there on, counted from the plan line, up to 8 ft."""
    load = replace(LEVEL, strips=(Strip(from_m=ft(from_ft), load_pa=1000 * PSF),))
    case = mass(load)
    assert bearing(case) == pytest.approx(bears(case, carried), rel=1e-9)
    assert bears(case, carried) != pytest.approx(bears(case, carried + 100), rel=1e-3)


def tiered() -> Loading:
    """Three courses of 2 ft that hold 2 ft of soil under 100 lb/ft2, 6 ft behind."""
    load = Loading(surcharge_pa=100 * PSF, back_slope=0.0)
    up = WallSection(station_m=0.0, base=0, top_joint=3, soil_m=ft(2), load=load)
    upper = UpperWall(name="up", offset_m=ft(6), underside_m=0.0, front_m=0.0, section=up)
    return replace(LEVEL, upper=upper)


def test_mass_carries_what_of_a_wall_above_stands_on_it() -> None:
    """Units of 150 lb/ft3, 1 ft x 2 ft: 300 lb; 1 ft of soil behind them, 240 lb, and 100 lb on
    it."""
    case = mass(tiered(), blocks_pcf=150)
    assert bearing(case) == pytest.approx(bears(case, 640), rel=1e-9)
    assert bears(case, 640) != pytest.approx(bears(case, 600), rel=1e-3)


@pytest.mark.parametrize("walls", [False, True])
@pytest.mark.parametrize("loads", [False, True])
def test_ground_of_a_picture_counts_walls_and_loads_where_they_are_asked_for(
    walls: bool, loads: bool
) -> None:
    """Soil alone, with the wall above, with what stands on it."""
    case: Reinforced = mass(tiered()).layered
    stack = case.ground.stack(case.section.courses)
    picture = draw(case.section, stack, case.ground.native, case.ground.native, None)
    back = replace(case.rear, from_m=0.0)
    found = picture.ground(back, None, walls=walls, loads=loads).slices
    drawn = picture.drawn
    assert found == (
        *(drawn.standing if walls else drawn.soil),
        *(drawn.loads if loads else ()),
    )
    assert drawn.standing != drawn.soil
