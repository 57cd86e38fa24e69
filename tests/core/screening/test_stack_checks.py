"""Checks of a plain stack and their words, by hand: courses of 8 in, 12 in deep, 1 in setback, of
80 lb/ft each, before soil of 30 deg and 120 lb/ft3."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.job.wall_system import Interface
from service.core.screening.picture import CutEdge
from service.core.screening.stack_case import StackCase, StackSetting, stack_case
from service.core.screening.stack_checks import (
    NO_FACTORS,
    factors_in_words,
    falling_ground,
    hinge_height,
    hinge_height_words,
    interface_shear,
    leans_enough,
    loads_in_words,
    untested_joints,
)
from service.core.screening.wall_screening import PlainStack, WallScreening
from service.core.screening.wall_section import Loading, Rise, UpperWall, WallSection
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import BLOCKS, LEVEL, ground
from tests.given.statics import LB_FT, deg, leaning
from tests.given.walls import ft, inch, system

SHEAR = Interface(strength_n_m=800 * LB_FT, friction_rad=deg(30), most_n_m=3000 * LB_FT)
SETTING = ground(ASSOCIATION)
TESTED = ground(ASSOCIATION, blocks=replace(BLOCKS, interface=SHEAR))
PLUMB = ground(ASSOCIATION, blocks=system(setback=0.0, cap=None))
LEAN = math.degrees(math.atan(1 / 8))


def case(setting: StackSetting, load: Loading = LEVEL, soil_m: float = ft(4)) -> StackCase:
    """Six courses."""
    section = WallSection(station_m=0.0, base=0, top_joint=6, soil_m=soil_m, load=load)
    return stack_case(section, setting)


def test_weakest_joint_is_the_lowest_over_which_most_is_pushed() -> None:
    """Over one course: 800 + 400 tan 30 against 120 x 3.333^2 / 2 times Coulomb's coefficient. With
    1 ft of soil it is the same joint: 4 in are pushed over it. With 8 in none is."""
    holds = 800 + 400 * math.tan(deg(30))
    share = leaning(30, LEAN).horizontal
    for soil_ft in (4.0, 1.0):
        pushed = share * 120 * (soil_ft - 2 / 3) ** 2 / 2
        found = interface_shear(case(TESTED, soil_m=ft(soil_ft)))
        assert found == pytest.approx(holds / pushed, rel=1e-6)
    assert interface_shear(case(TESTED, soil_m=inch(8))) == math.inf


def test_joints_that_nobody_tested_are_told_by_their_system() -> None:
    """And none that were."""
    assert untested_joints(TESTED) is None
    lacks = "wall_systems/blocks: interface, tested shear strength between units"
    assert untested_joints(SETTING) == lacks


@pytest.mark.parametrize(("slope", "open_still"), [(0.0, False), (0.1, True), (-0.1, False)])
def test_bearing_stays_open_where_the_ground_falls_away(slope: float, open_still: bool) -> None:
    """However little it falls."""
    found = falling_ground(replace(SETTING, front_slope=slope))
    assert found == ("bearing on ground that falls away in front",) * open_still


def test_hinge_height_is_that_of_units_that_lean_over_their_depth() -> None:
    """12 in at 1 in 8 are 8 ft, twice the 4 ft of units; upright units have none."""
    assert hinge_height(case(SETTING)) == pytest.approx(2.0)
    assert hinge_height_words(case(SETTING)) == "hinge height 8 ft / 4 ft of units"
    assert hinge_height(case(PLUMB)) == math.inf


def test_units_lean_enough_over_the_limit_of_the_basis() -> None:
    """Not at it."""
    lean = SETTING.stack(6).batter_rad
    for limit, enough in ((lean * 0.999, True), (lean, False), (lean * 1.001, False)):
        basis = replace(ASSOCIATION, hinge_over_rad=limit)
        assert leans_enough(replace(SETTING, basis=basis)) is enough


def test_loads_in_words_name_what_pushes_and_what_weighs() -> None:
    """Six courses of 80 lb/ft at 6 in and half of 5 in from the toe."""
    told = loads_in_words(case(SETTING))
    assert told.startswith("6 courses, soil 4 ft over their underside, Ka 0.2")
    assert told.endswith("; units 480 lb/ft at 0.708333 ft from the toe")
    assert "wall above" not in told
    capped = ground(ASSOCIATION, blocks=system(setback=inch(1)))
    assert "; units 480 lb/ft" in loads_in_words(case(capped))
    cap = capped.system.cap
    assert cap is not None
    weighed = replace(capped.system, cap=replace(cap, weight_kg=20.0))
    assert "; units and cap " in loads_in_words(case(replace(capped, system=weighed)))


def test_loads_in_words_name_the_wedge_and_the_wall_above() -> None:
    """A wall of 4 ft above, 3 ft behind, in one soil."""
    up = WallSection(station_m=0.0, base=0, top_joint=6, soil_m=ft(4), load=LEVEL)
    upper = UpperWall(name="up", offset_m=ft(3), underside_m=0.0, front_m=0.0, section=up)
    told = loads_in_words(case(SETTING, replace(LEVEL, upper=upper)))
    assert " deg pushes most: thrust of soil " in told
    assert ", of the wall above " in told
    assert "retained soil" not in told


def test_factors_are_told_where_a_basis_has_some() -> None:
    """The manual has, safety factors have none."""
    assert factors_in_words(NO_FACTORS) == ()
    (told,) = factors_in_words(FHWA.factors)
    assert told == (
        "factors: weight 1 to 1.35, soil 1.5, load 1.75; of what resists: sliding 1, bearing 0.65"
    )


def test_back_of_the_units_rubs_as_the_soil_that_lies_on_it() -> None:
    """The fill before a cut, else the retained soil, 20 deg."""
    soils = replace(SETTING.soils, wall_friction_rad=deg(13), fill_wall_friction_rad=deg(20))
    setting = replace(SETTING, soils=soils)
    section = WallSection(station_m=0.0, base=0, top_joint=6, soil_m=ft(4), load=LEVEL)
    cut = CutEdge(floor_m=1.0, slope=1.0)
    for each, friction in ((setting, 13), (replace(setting, cut=cut), 20)):
        back = each.back(section)
        assert back.from_m == 0.0
        assert back.batter == pytest.approx(1 / 8)
        assert (back.height_m, back.friction_rad) == (ft(4), deg(friction))


def test_tallest_stack_is_told_in_courses_and_as_a_height() -> None:
    """Four courses of 8 in; of a wall of which nothing is known neither."""
    known = WallScreening(wall="wall", stack=PlainStack(ground=SETTING, loads=(LEVEL,)))
    assert known.tallest_courses == 4
    assert known.tallest_m == pytest.approx(inch(32))
    unknown = WallScreening(wall="wall")
    assert (unknown.tallest_courses, unknown.tallest_m) == (None, None)


@pytest.mark.parametrize(
    ("back", "rise", "steepest"), [(0.1, 0.3, 0.3), (0.5, 0.3, 0.5), (-0.2, -0.1, -0.1)]
)
def test_steepest_ground_is_that_of_all_that_was_stated(
    back: float, rise: float, steepest: float
) -> None:
    """The slope from the wall on, or one that begins behind."""
    load = Loading(surcharge_pa=0.0, back_slope=back, rises=(Rise(from_m=1.0, slope=rise),))
    assert load.steepest == steepest
