"""Reinforced soil and tiers against reinforced_soil.toml."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest

from service.core.screening.earth_pressure import failure_plane_rad, rankine, thrust
from service.core.screening.layer_statics import (
    anchorage_m,
    fhwa_plane_distance_m,
    fhwa_pullout_n_m,
    fhwa_tension_n_m,
    long_term_n_m,
    middle_depths_m,
    overburden_m,
    plane_distance_m,
    pullout_n_m,
    shares_m,
    shortest_length_m,
    tension_n_m,
)
from service.core.screening.tier_statics import independent_offset_share
from tests.given.statics import LB, LB_FT, PCF, Row, deg, leaning, stack, wall_friction
from tests.given.walls import ft, inch, to_ft, to_inch

DATA: dict[str, Row] = tomllib.loads(
    Path(__file__).with_name("reinforced_soil.toml").read_text(encoding="utf-8")
)
R1 = DATA["layers"]
R1_STACK = stack(12, setback_in=1)
R1_PRESSURE = leaning(30, math.degrees(R1_STACK.batter_rad))
R1_PLANE = failure_plane_rad(deg(30), wall_friction(30), R1_STACK.batter_rad, 0.0)
R1_ELEVATIONS = [ft(elevation) for elevation in R1["elevations_ft"]]
R1_LENGTH, R1_UNIT = ft(7), ft(1)
E1 = DATA["geogrid"]
TEXTILE = DATA["geotextile"]


def rows(table: str, name: str = "rows") -> pytest.MarkDecorator:
    """One case per row of a table."""
    return pytest.mark.parametrize("row", DATA[table][name], ids=str)


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
    creep, durability, damage = row["factors"]
    found = long_term_n_m(row["ultimate"] * LB_FT, creep, durability, damage)
    near = DATA["long_term"]["tolerance"]
    assert found / LB_FT == pytest.approx(row["long_term"], abs=near)


def test_r1_rests_on_the_pressure_and_plane_of_its_wall() -> None:
    """Level coefficient 0.24323, plane 53.289 deg."""
    assert R1_PRESSURE.horizontal == pytest.approx(R1["horizontal"], abs=5e-6)
    assert math.degrees(R1_PLANE) == pytest.approx(R1["plane"], abs=5e-4)


@r1_layers
def test_r1_tension_is_that_of_the_set(index: int, row: Row) -> None:
    """Each layer carries 4/3 ft, its pull grows with depth."""
    share = shares_m(R1_ELEVATIONS, ft(8))[index]
    depth = middle_depths_m(R1_ELEVATIONS, ft(8))[index]
    assert to_ft(share) == pytest.approx(4 / 3, abs=R1["tolerance_ft"])
    assert to_ft(depth) == pytest.approx(row["depth"], abs=R1["tolerance_ft"])
    found = tension_n_m(share, depth, R1_PRESSURE, 120 * PCF, 0.0)
    assert found / LB_FT == pytest.approx(row["tension"], abs=R1["tolerance_lb_ft"])


@r1_layers
def test_r1_anchorage_and_pullout_are_those_of_the_set(index: int, row: Row) -> None:
    """Distance to the plane, length beyond it, what holds there, and the shortest length."""
    near, elevation = R1["tolerance_ft"], R1_ELEVATIONS[index]
    distance = plane_distance_m(elevation, R1_PLANE, R1_STACK.batter_rad)
    held = anchorage_m(R1_LENGTH, R1_UNIT, distance)
    assert to_ft(distance) == pytest.approx(row["distance"], abs=near)
    assert to_ft(held) == pytest.approx(row["anchorage"], abs=near)
    cover = ft(8) - elevation
    starts = distance - (ft(8) - elevation) * math.tan(R1_STACK.batter_rad)
    depth = overburden_m(cover, starts, starts + held, 0.0)
    pullout = pullout_n_m(depth, 120 * PCF, held, 0.7, deg(30))
    assert pullout / LB_FT == pytest.approx(row["pullout"], abs=R1["tolerance_pullout"])
    ratio = pullout / LB_FT / row["tension"]
    assert ratio == pytest.approx(row["ratio"], abs=R1["tolerance_ratio"])
    shortest = shortest_length_m(ft(1), R1_UNIT, distance)
    assert to_ft(shortest) == pytest.approx(row["shortest"], abs=near)


def test_r1_layers_pull_as_much_as_the_soil_pushes() -> None:
    """934.02 lb/ft: the sum of all tensions is the thrust on the wall."""
    shares, depths = shares_m(R1_ELEVATIONS, ft(8)), middle_depths_m(R1_ELEVATIONS, ft(8))
    pulled = math.fsum(
        tension_n_m(share, depth, R1_PRESSURE, 120 * PCF, 0.0)
        for share, depth in zip(shares, depths, strict=True)
    )
    pushed = thrust(ft(8), 120 * PCF, 0.0, R1_PRESSURE).total_n_m
    assert pulled / LB_FT == pytest.approx(R1["total_lb_ft"], abs=R1["tolerance_lb_ft"])
    assert pulled == pytest.approx(pushed, rel=1e-9)


@rows("geogrid")
def test_e1_pullout_gives_the_published_layers(row: Row) -> None:
    """Distance, anchorage, depth under the slope, and what holds, at full precision."""
    height, length = ft(E1["height_ft"]), ft(E1["length_ft"])
    distance = fhwa_plane_distance_m(height - ft(row["z"]), deg(E1["friction"]))
    held = anchorage_m(length, 0.0, distance)
    cover = overburden_m(ft(row["z"]), distance, length, math.atan(0.5))
    near = E1["tolerance_ft"]
    assert to_ft(distance) == pytest.approx(row["distance"], abs=near)
    assert to_ft(held) == pytest.approx(row["anchorage"], abs=near)
    assert to_ft(cover) == pytest.approx(row["cover"], abs=near)
    found = fhwa_pullout_n_m(E1["factor"], E1["scale"], E1["pcf"] * PCF * cover, held) / LB_FT
    assert found == pytest.approx(row["pullout"], rel=E1["tolerance_share"])
    assert found == pytest.approx(row["full"], abs=1)


@rows("geogrid")
def test_e1_pullout_follows_exactly_from_the_printed_columns(row: Row) -> None:
    """From the printed depth and distance the printed pullout comes out to the pound."""
    upright = E1["pcf"] * PCF * ft(row["cover"])
    found = fhwa_pullout_n_m(E1["factor"], E1["scale"], upright, ft(row["anchorage"])) / LB_FT
    assert found == pytest.approx(row["pullout"], abs=E1["tolerance_printed"])


def test_e1_has_all_layers() -> None:
    """11 rows, so that none is lost in copying."""
    assert len(E1["rows"]) == 11


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


@rows("tiers")
def test_tier_offset_for_independence_is_the_published_share(row: Row) -> None:
    """tan(90 - friction) of the lower height; the thumb rule of twice is stricter."""
    found = independent_offset_share(deg(row["friction"]))
    assert found == pytest.approx(row["share"], abs=DATA["tiers"]["tolerance"])
    assert found < 2
