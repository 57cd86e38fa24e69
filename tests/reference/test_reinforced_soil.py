"""Reinforced soil and tiers against reinforced_soil.toml."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.screening.formulas.earth_pressure import failure_plane_rad, rankine, thrust
from service.core.screening.formulas.layer_statics import (
    fhwa_plane_distance_m,
    fhwa_pullout_n_m,
    fhwa_tension_n_m,
    long_term_n_m,
    plane_distance_m,
    pullout_n_m,
    shortest_length_m,
    tributaries,
)
from service.core.screening.layer_checks import hold, sheet_strength_n_m, shortest_of
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.reinforced_screen import figures
from service.core.screening.wall_section import Loading
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import BLOCKS, GRID, ground, layered_section
from tests.given.reference_tables import Row, read_tables, rows_of
from tests.given.statics import LB, LB_FT, PCF, deg, leaning, stack, wall_friction
from tests.given.walls import ft, inch, to_ft, to_inch

DATA = read_tables("reinforced_soil")
rows = rows_of(DATA)
R1 = DATA["layers"]
R1_STACK = stack(12, setback_in=1)
R1_PRESSURE = leaning(30, math.degrees(R1_STACK.batter_rad))
R1_PLANE = failure_plane_rad(deg(30), wall_friction(30), R1_STACK.batter_rad, 0.0)
R1_ELEVATIONS = [ft(elevation) for elevation in R1["elevations_ft"]]
R1_CASE = layered_section(ground(ASSOCIATION), 12, (1, 3, 5, 7, 9, 11), ft(7))
E1 = DATA["geogrid"]
TEXTILE = DATA["geotextile"]


r1_layers = pytest.mark.parametrize(
    ("index", "row"), list(enumerate(R1["rows"])), ids=[f"layer {n}" for n in range(1, 7)]
)


@pytest.mark.parametrize("table", DATA)
def test_reinforced_soil_toml_names_its_sources(table: str) -> None:
    """Every table says where its figures come from and how sure they are."""
    assert DATA[table]["source"]
    assert DATA[table]["sure"] in ("computed", "published")


@rows("long_term")
def test_long_term_strength_is_divided_by_every_factor(row: Row) -> None:
    """Creep, durability and damage multiply; without data one factor stands for all."""
    found = long_term_n_m(row["ultimate"] * LB_FT, *row["factors"])
    near = DATA["long_term"]["tolerance"]
    assert found / LB_FT == pytest.approx(row["long_term"], abs=near)


def test_r1_rests_on_the_pressure_and_plane_of_its_wall() -> None:
    """Level coefficient 0.24323, plane 53.289 deg."""
    assert R1_PRESSURE.horizontal == pytest.approx(R1["horizontal"], abs=5e-6)
    assert math.degrees(R1_PLANE) == pytest.approx(R1["plane"], abs=5e-4)


@r1_layers
def test_r1_tension_is_that_of_the_set(index: int, row: Row) -> None:
    """Each layer carries 4/3 ft, its pull grows with depth."""
    carried = tributaries(R1_ELEVATIONS, ft(8))[index]
    assert to_ft(carried.height_m) == pytest.approx(4 / 3, abs=R1["tolerance_ft"])
    assert to_ft(carried.middle_depth_m) == pytest.approx(row["depth"], abs=R1["tolerance_ft"])
    found = R1_CASE.pulls_n_m[index]
    assert found / LB_FT == pytest.approx(row["tension"], abs=R1["tolerance_lb_ft"])


@r1_layers
def test_r1_anchorage_and_pullout_are_those_of_the_set(index: int, row: Row) -> None:
    """Distance to the plane, length beyond it, what holds there, and the shortest length."""
    near, elevation = R1["tolerance_ft"], R1_ELEVATIONS[index]
    distance = plane_distance_m(elevation, R1_PLANE, R1_STACK.batter_rad)
    assert to_ft(distance) == pytest.approx(row["distance"], abs=near)
    anchorage, held = hold(R1_CASE, elevation)
    assert to_ft(anchorage) == pytest.approx(row["anchorage"], abs=near)
    assert held / LB_FT == pytest.approx(row["pullout"], abs=R1["tolerance_pullout"])
    assert to_ft(shortest_of(R1_CASE, elevation)) == pytest.approx(row["shortest"], abs=near)


def test_r1_checks_give_the_ratios_of_the_set() -> None:
    """Pullout over pull, and the sheet's 1,807.85 lb/ft over pull, layer by layer."""
    ratios = list(figures("pullout", R1_CASE))
    assert ratios == pytest.approx([row["ratio"] for row in R1["rows"]], abs=R1["tolerance_ratio"])
    strength = DATA["long_term"]["rows"][0]["long_term"]
    pulled = [strength / each for each in figures("layer_tension", R1_CASE)]
    expected = [row["tension"] for row in R1["rows"]]
    assert pulled == pytest.approx(expected, abs=R1["tolerance_lb_ft"])


def test_sheet_without_data_is_divided_by_the_one_factor() -> None:
    """3,500 lb/ft without the maker's factors: 500."""
    row = DATA["long_term"]["rows"][3]
    bare = replace(GRID, ultimate_n_m=row["ultimate"] * LB_FT, creep=None)
    found = sheet_strength_n_m(replace(R1_CASE, sheet=bare))
    assert found / LB_FT == pytest.approx(row["long_term"], abs=DATA["long_term"]["tolerance"])


def test_r1_layers_pull_as_much_as_the_soil_pushes() -> None:
    """934.02 lb/ft: the sum of all tensions is the thrust on the wall."""
    pulled = math.fsum(R1_CASE.pulls_n_m)
    pushed = thrust(ft(8), 120 * PCF, 0.0, R1_PRESSURE).soil_n_m
    assert pulled / LB_FT == pytest.approx(R1["total_lb_ft"], abs=R1["tolerance_lb_ft"])
    assert pulled == pytest.approx(pushed, rel=1e-9)


def e1_case() -> Reinforced:
    """30 courses of 8 in without depth or batter, 2H:1V above, layers on the joints of the
    table; F* 0.45 as printed."""
    thin = replace(BLOCKS.standard, height_m=inch(8), depth_m=1e-9)
    blocks = replace(BLOCKS, standard=thin, setback_m=0.0)
    share = E1["factor"] / math.tan(deg(E1["friction"]))
    basis = replace(FHWA, layers=replace(FHWA.layers, friction_share=share, scale=E1["scale"]))
    behind = ground(basis, E1["friction"], E1["pcf"], blocks)
    joints = tuple(round((E1["height_ft"] - row["z"]) * 12 / 8) for row in E1["rows"][::-1])
    sloped = Loading(surcharge_pa=0.0, back_slope=0.5)
    return layered_section(behind, 30, joints, ft(E1["length_ft"]), sloped)


@rows("geogrid")
def test_e1_pullout_gives_the_published_layers(row: Row) -> None:
    """Distance, anchorage, and what holds under the slope, at full precision."""
    height, near = ft(E1["height_ft"]), E1["tolerance_ft"]
    distance = fhwa_plane_distance_m(height - ft(row["z"]), deg(E1["friction"]))
    assert to_ft(distance) == pytest.approx(row["distance"], abs=near)
    anchorage, held = hold(e1_case(), height - ft(row["z"]))
    assert to_ft(anchorage) == pytest.approx(row["anchorage"], abs=near)
    assert held / LB_FT == pytest.approx(row["pullout"], rel=E1["tolerance_share"])
    assert held / LB_FT == pytest.approx(row["full"], abs=1)


@rows("geogrid")
def test_e1_pullout_follows_exactly_from_the_printed_columns(row: Row) -> None:
    """From the printed depth and distance the printed pullout comes out to the pound."""
    upright = E1["pcf"] * PCF * ft(row["cover"])
    found = fhwa_pullout_n_m(E1["factor"], E1["scale"], upright, ft(row["anchorage"])) / LB_FT
    assert found == pytest.approx(row["pullout"], abs=E1["tolerance_printed"])


def test_e1_has_all_layers() -> None:
    """11 rows, so that none is lost in copying, and each on a joint of the wall that holds it."""
    assert len(E1["rows"]) == 11
    heights = [E1["height_ft"] - row["z"] for row in E1["rows"]][::-1]
    case = e1_case()
    assert [to_ft(each) for each in case.elevations_m] == pytest.approx(heights, abs=0.005)
    assert len(figures("pullout", case)) == 11


@rows("geotextile", "spacing")
def test_geotextile_spacing_uses_up_the_allowed_strength(row: Row) -> None:
    """At the published spacing a layer pulls 80 lb/in over 1.5, no more and no less."""
    upright = TEXTILE["pcf"] * PCF * ft(row["ft"])
    per_m = fhwa_tension_n_m(rankine(deg(TEXTILE["friction"])), upright, 1.0)
    found = TEXTILE["allowed_lb_in"] * LB / inch(1) / TEXTILE["safety"] / per_m
    assert to_inch(found) == pytest.approx(row["inches"], abs=TEXTILE["tolerance_in"])


def test_geotextile_anchorage_keeps_the_safety_factor() -> None:
    """0.438 of the spacing beyond the plane holds 1.5 times the pull, at any depth."""
    upright = TEXTILE["pcf"] * PCF * ft(8)
    pull = fhwa_tension_n_m(TEXTILE["coefficient"], upright, ft(1))
    per_m = pullout_n_m(ft(8), TEXTILE["pcf"] * PCF, 1.0, 1.0, deg(TEXTILE["interface"]))
    share = TEXTILE["safety"] * pull / per_m / ft(1)
    assert share == pytest.approx(TEXTILE["anchorage_share"], abs=TEXTILE["tolerance_share"])
    # the lap is held by a quarter of it: both its faces, half the strength; 1.67 ft apart
    assert 1.67 * share / 2 == pytest.approx(TEXTILE["lap_ft"], abs=0.001)


@rows("geotextile", "length")
def test_geotextile_length_gives_the_published_layers(row: Row) -> None:
    """Distance to the plane and anchorage together."""
    above = ft(TEXTILE["height_ft"]) - inch(row["inches"])
    distance = fhwa_plane_distance_m(above, deg(TEXTILE["friction"]))
    anchored = TEXTILE["anchorage_share"] * ft(row["spacing_ft"])
    found = shortest_length_m(anchored, 0.0, distance)
    assert to_ft(found) == pytest.approx(row["ft"], abs=TEXTILE["tolerance_ft"])


def test_hold_counts_a_back_slope_from_the_back_of_the_topmost_soil() -> None:
    """8 ft of soil, a layer at 4 ft, 1 in of setback per 8 in: the slope of 4:1 begins 0.5 ft
    behind the units at the layer, so that 5.625 ft lie over its end, 6.5 ft from there."""
    sloped = Loading(surcharge_pa=0.0, back_slope=0.25)
    case = layered_section(ground(ASSOCIATION), 12, (6,), ft(8), sloped)
    anchorage, held = hold(case, ft(4))
    length = to_ft(anchorage)
    assert 0 < length < 6.5
    depth = ((4 + (6.5 - length) / 4) + 5.625) / 2
    expected = 2 * depth * 120 * length * 0.7 * math.tan(math.radians(30))
    assert held / LB_FT == pytest.approx(expected, rel=1e-9)
