"""Layers at the edges of what holds them and what pulls on them, by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.job.reinforcement import Connection, Sheet
from service.core.screening.filled_section import FilledSection
from service.core.screening.formulas.earth_pressure import failure_plane_rad
from service.core.screening.formulas.layer_statics import fhwa_plane_distance_m
from service.core.screening.layer_checks import (
    connection,
    hold,
    no_interaction,
    sheet_strength_n_m,
)
from service.core.screening.reinforced_screen import figures
from service.core.screening.wall_section import Loading, Strip
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import GRID, ground, layered_section
from tests.given.statics import LB_FT, PSF, deg
from tests.given.walls import ft, inch, system

COURSE = inch(8)


def leaning(setback_in: float) -> FilledSection:
    """Six courses of the highway basis, so much behind each other."""
    blocks = system(setback=inch(setback_in), cap=None)
    return layered_section(ground(FHWA, blocks=blocks), 6, (1, 4), ft(8)).filled


@pytest.mark.parametrize(("setback_in", "plumb"), [(0.0, True), (1.0, True), (2.0, False)])
def test_face_is_plumb_by_the_manual_under_10_deg(setback_in: float, plumb: bool) -> None:
    """1 in 8 leans 7.1 deg, 2 in 8 leans 14 deg."""
    assert leaning(setback_in).plumb is plumb


def test_face_that_leans_as_much_as_the_limit_is_not_plumb() -> None:
    """Under the limit, not at it; the association's forms know no plumb face."""
    lean = leaning(1.0).batter_rad
    for basis, limit, plumb in (
        (FHWA, lean, False),
        (FHWA, lean * 1.001, True),
        (ASSOCIATION, lean * 1.001, False),
    ):
        setting = ground(replace(basis, plumb_under_rad=limit))
        assert layered_section(setting, 6, (1, 4), ft(8)).filled.plumb is plumb


@pytest.mark.parametrize(("setback_in", "lever_ft"), [(1, 4), (2, 4.5)])
def test_mass_of_a_leaning_face_stands_back_by_the_manual(
    setback_in: float, lever_ft: float
) -> None:
    """4 ft of soil, 8 ft long: 3,840 lb/ft; at 2 in 8 its middle leans 1 ft / 2 back: 4.5 ft. At
    1 in 8 it counts as plumb."""
    blocks = system(setback=inch(setback_in), cap=None)
    weight, lever = layered_section(ground(FHWA, blocks=blocks), 6, (1, 4), ft(8)).mass
    assert weight / LB_FT == pytest.approx(3840)
    assert lever == pytest.approx(ft(lever_ft))


def test_layer_on_top_of_the_soil_is_none() -> None:
    """Six courses with soil to their top: a sheet on the highest joint lies in no soil."""
    filled = layered_section(ground(ASSOCIATION), 6, (1, 6), ft(8)).filled
    assert filled.elevations_m((1, 5, 6)) == pytest.approx((COURSE, 5 * COURSE))


def test_layer_that_ends_at_the_plane_is_held_by_nothing() -> None:
    """32 in x tan 30 deg = 18.475 in long: nothing lies beyond the plane."""
    length = fhwa_plane_distance_m(4 * COURSE, deg(30))
    assert length == pytest.approx(inch(18.475), rel=1e-4)
    case = layered_section(ground(FHWA), 6, (1, 4), length)
    assert hold(case, case.elevations_m[1]) == (0.0, 0.0)


def test_sheet_that_nobody_tested_holds_nothing() -> None:
    """Neither basis nor maker says how soil holds it, nor anybody how the units do: no share is
    made up."""
    case = layered_section(
        ground(ASSOCIATION), 6, (1, 4), ft(8), sheet=replace(GRID, interaction=None)
    )
    for elevation in case.elevations_m:
        anchored, held = hold(case, elevation)
        assert anchored > 0
        assert (held, connection(case, elevation)) == (0.0, 0.0)
    assert no_interaction(case) == "interaction of the sheet with the soil"
    for known in (
        layered_section(ground(ASSOCIATION), 6, (1, 4), ft(8)),
        replace(case, filled=leaning(1.0)),
    ):
        assert no_interaction(known) is None


@pytest.mark.parametrize(
    "sheet",
    [replace(GRID, creep=None), replace(GRID, durability=None), replace(GRID, damage=None)],
)
def test_sheet_without_all_of_its_factors_has_the_one_of_the_basis(sheet: Sheet) -> None:
    """3,500 / 7, whichever of the three is missing; 3,500 / 1.6 / 1.1 / 1.1 with all."""
    case = layered_section(ground(ASSOCIATION), 6, (1, 4), ft(8))
    assert sheet_strength_n_m(case) / LB_FT == pytest.approx(3500 / 1.936)
    assert sheet_strength_n_m(replace(case, sheet=sheet)) / LB_FT == pytest.approx(500)


def test_soil_that_stands_by_itself_pulls_on_no_layer() -> None:
    """Soil of 46 deg behind units that lean 45 deg, under a drive 3 ft behind: no plane slides, so
    every sheet is strong enough."""
    blocks = system(setback=inch(8), cap=None)
    load = Loading(
        surcharge_pa=0.0, back_slope=0.0, strips=(Strip(from_m=ft(9), load_pa=250 * PSF),)
    )
    case = layered_section(ground(ASSOCIATION, 46.0, blocks=blocks), 6, (1, 4), ft(8), load)
    assert case.pulls_n_m == (0.0, 0.0)
    assert figures("layer_tension", case) == (math.inf, math.inf)


def test_joint_with_the_units_holds_by_the_weight_on_it() -> None:
    """1,000 lb/ft and tan 35 of what lies above, of these units and of no others: five courses of
    80 lb/ft over joint 1, two over joint 4."""
    of_these, of_others = (
        Connection(
            wall_system=name,
            strength_n_m=lb_ft * LB_FT,
            friction_rad=deg(35),
            most_n_m=3000 * LB_FT,
        )
        for name, lb_ft in (("blocks", 1000), ("others", 1))
    )
    sheet = replace(GRID, connections=(of_others, of_these))
    case = layered_section(ground(ASSOCIATION), 6, (1, 4), ft(8), sheet=sheet)
    held = [connection(case, elevation) / LB_FT for elevation in case.elevations_m]
    assert held == pytest.approx([1000 + above * math.tan(deg(35)) for above in (400, 160)])


def test_short_layer_is_held_by_the_ground_that_rises_over_its_end() -> None:
    """3 ft from a plumb face, 8 in up, under 4 ft of soil and 1 in 4: the plane of 60 deg leaves
    2.615 ft behind 0.385 ft, under 3.333 ft and on average 0.423 ft of rise. The manual takes 0.67
    of tan 30, scaled by 0.8, on both sides."""
    blocks = system(setback=0.0, cap=None)
    blocks = replace(blocks, standard=replace(blocks.standard, depth_m=1e-9))
    load = Loading(surcharge_pa=0.0, back_slope=0.25)
    case = layered_section(ground(FHWA, blocks=blocks), 6, (1, 4), ft(3), load)
    tan30 = math.tan(deg(30))
    plane = tan30 * 8 / 12
    anchored, held = hold(case, case.elevations_m[0])
    over = 120 * (40 / 12 + 0.25 * (plane + 3) / 2)
    assert anchored == pytest.approx(ft(3 - plane), rel=1e-6)
    assert held / LB_FT == pytest.approx(2 * 0.67 * tan30 * 0.8 * over * (3 - plane), rel=1e-6)


def test_layer_behind_a_leaning_face_is_held_by_what_lies_over_it() -> None:
    """8 ft of layer end 7 ft behind the units, which lean 1 in 8: the ground that rises 1 in 4 from
    the units at back grade on begins an eighth of the soil over the layer farther back. 0.7 of
    tan 30 on both sides, 8 in and 32 in up."""
    load = Loading(surcharge_pa=0.0, back_slope=0.25)
    case = layered_section(ground(ASSOCIATION), 6, (1, 4), ft(8), load)
    plane = math.tan(failure_plane_rad(deg(30), deg(20), math.atan(1 / 8), math.atan(0.25)))
    for height, (anchored, held) in zip(
        (2 / 3, 8 / 3), (hold(case, each) for each in case.elevations_m), strict=True
    ):
        beyond = 7 - height * (1 / plane - 1 / 8)
        ends = 7 - (4 - height) / 8
        assert 0 < beyond < ends
        over = 120 * (4 - height + 0.25 * (ends - beyond / 2))
        assert anchored == pytest.approx(ft(beyond))
        assert held / LB_FT == pytest.approx(2 * 0.7 * math.tan(deg(30)) * over * beyond)
