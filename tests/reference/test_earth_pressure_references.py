"""Earth pressure against earth_pressure.toml, a trial wedge, and an open geotechnical library."""

from __future__ import annotations

import math

import pytest
from geotech_references.california_trenching import equations as trenching
from geotech_references.dm7_2 import chapter4 as ufc
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from service.core.screening.formulas import earth_pressure as pressure
from tests.given.reference_tables import Row, read_tables, rows_of
from tests.given.statics import (
    KIP_FT,
    KN,
    LB_FT,
    PCF,
    PSF,
    deg,
    leaning,
    total_n_m,
    wall_friction,
)
from tests.given.walls import ft

DATA = read_tables("earth_pressure")
rows = rows_of(DATA)
frictions = st.floats(20, 45)
batters = st.floats(-10, 20)
shares = st.floats(0, 1)


@pytest.mark.parametrize("table", DATA)
def test_earth_pressure_toml_names_its_sources(table: str) -> None:
    """Every table says where its figures come from and how sure they are."""
    assert DATA[table]["source"]
    assert DATA[table]["sure"] in ("computed", "published")


@rows("rankine")
def test_rankine_gives_the_published_table(row: Row) -> None:
    """42 coefficients for ground that rises by up to 25 deg."""
    for slope, expected in zip(DATA["rankine"]["slopes"], row["coefficients"], strict=True):
        found = pressure.rankine(deg(row["friction"]), deg(slope))
        assert found == pytest.approx(expected, abs=DATA["rankine"]["tolerance"])


@rows("overhanging")
def test_coulomb_gives_the_published_table_of_backs_that_overhang(row: Row) -> None:
    """A back that hangs over the soil has a negative batter: 42 coefficients."""
    table = DATA["overhanging"]
    for face, expected in zip(table["faces"], row["coefficients"], strict=True):
        found = leaning(row["friction"], face - 90).coefficient
        assert found == pytest.approx(expected, abs=table["tolerance"])


@rows("overhanging")
def test_coulomb_is_lower_than_that_table_for_walls_that_lean_in(row: Row) -> None:
    """With the right sign every leaning row stays under the upright one, and far under the
    wrong-sign figure of its angle."""
    faces = DATA["overhanging"]["faces"]
    upright = row["coefficients"][0]
    for face, wrong in list(zip(faces, row["coefficients"], strict=True))[1:]:
        right = leaning(row["friction"], 90 - face).coefficient
        assert right < upright - 0.02 < wrong - 0.04


@rows("leaning")
def test_coulomb_gives_the_table_of_leaning_walls(row: Row) -> None:
    """Coefficient, its level part, and the failure plane of 25 walls."""
    table = DATA["leaning"]
    friction, batter, slope = deg(row["friction"]), deg(row["batter"]), deg(row["slope"])
    found = leaning(row["friction"], row["batter"], row["slope"])
    plane = pressure.failure_plane_rad(friction, wall_friction(row["friction"]), batter, slope)
    assert found.coefficient == pytest.approx(row["coefficient"], abs=table["tolerance"])
    assert found.horizontal == pytest.approx(row["horizontal"], abs=table["tolerance"])
    assert math.degrees(plane) == pytest.approx(row["plane"], abs=table["tolerance_deg"])


def test_leaning_table_is_whole() -> None:
    """25 rows, so that none is lost in copying."""
    assert len(DATA["leaning"]["rows"]) == 25
    assert len(DATA["trench_soils"]["rows"]) == 15


@rows("trench_soils")
def test_rankine_gives_the_fluid_weights_of_a_trench_table(row: Row) -> None:
    """Coefficient to two decimals and the fluid weight within the table's own rounding."""
    table = DATA["trench_soils"]
    found = pressure.rankine(deg(row["friction"]))
    assert found == pytest.approx(row["coefficient"], abs=table["tolerance"])
    assert found * row["pcf"] == pytest.approx(row["fluid_pcf"], abs=table["tolerance_pcf"])


@rows("surcharge")
def test_thrust_with_surcharge_agrees_with_the_wedge(row: Row) -> None:
    """Whole thrusts of soil and surcharge, level and sloped; without the share the sloped one
    falls short."""
    table = DATA["surcharge"]
    found = leaning(row["friction"], row["batter"], row["slope"])
    both = pressure.thrust(ft(row["ft"]), row["pcf"] * PCF, row["psf"] * PSF, found)
    whole = total_n_m(both) / found.horizontal_share
    assert whole / LB_FT == pytest.approx(row["lb_ft"], abs=table["tolerance"])
    if "without_share" in row:
        short = both.soil_n_m + both.surcharge_n_m / found.surcharge_share
        expected = pytest.approx(row["without_share"], abs=table["tolerance"])
        assert short / found.horizontal_share / LB_FT == expected


@rows("stress_at_depth")
def test_rankine_gives_the_published_stress_at_a_depth(row: Row) -> None:
    """48 kPa above presses sideways by the coefficient's share."""
    found = pressure.rankine(deg(row["friction"])) * 48
    assert found == pytest.approx(row["kpa"], abs=row["tolerance"])


@rows("thrusts")
def test_thrust_gives_the_published_examples(row: Row) -> None:
    """Coefficient and whole thrust of three examples, by their own method."""
    if row["by"] == "rankine":
        found = pressure.rankine_pressure(deg(row["friction"]), deg(row["slope"]))
    else:
        found = pressure.coulomb_pressure(
            *(deg(row[name]) for name in ("friction", "wall_friction", "batter", "slope"))
        )
    level = pressure.thrust(row["m"], row["kn_m3"] * KN, 0.0, found)
    assert found.coefficient == pytest.approx(row["coefficient"], abs=row["near"])
    whole = level.soil_n_m / found.horizontal_share / KN
    assert whole == pytest.approx(row["kn_m"], abs=row["tolerance"])


def test_thrust_on_a_sloped_backfill_gives_the_published_example() -> None:
    """Example 8.1: 21.808 ft of 117 pcf under a slope of 10 deg press with 8.18 kip/ft, by the
    coefficient that it prints; the unrounded one gives 8.190."""
    row = DATA["thrust_8_1"]
    exact = pressure.rankine(deg(row["friction"]), deg(row["slope"]))
    assert exact == pytest.approx(row["coefficient"], abs=row["near"])
    for coefficient, near in ((row["coefficient"], row["tolerance"]), (exact, row["rounding"])):
        whole = pressure.Pressure(coefficient=coefficient)
        found = pressure.thrust(ft(row["ft"]), row["pcf"] * PCF, 0.0, whole)
        assert found.soil_n_m / KIP_FT == pytest.approx(row["kip_ft"], abs=near)


@given(frictions, shares, batters, shares, st.floats(0.5, 10), st.floats(0, 20_000))
def test_coulomb_is_the_worst_of_all_trial_wedges(
    friction: float, wall: float, batter: float, rise: float, height: float, load: float
) -> None:
    """The plane that a general optimizer finds gives the same thrust (1e-6) and plane."""
    phi, lean = deg(friction), deg(batter)
    delta, slope = wall * phi, deg(-10 + rise * (friction + 9))
    found = pressure.coulomb_pressure(phi, delta, lean, slope)
    level = pressure.thrust(height, 18_000.0, load, found)
    foot = height * math.tan(lean)

    def held(plane: float) -> float:
        reach = (height - foot * math.tan(slope)) / (math.tan(plane) - math.tan(slope))
        area = abs(foot * reach * math.tan(plane) - reach * height) / 2
        weight = 18_000.0 * area + load * (reach - foot)
        return -weight * math.sin(plane - phi) / math.cos(plane - phi - delta + lean)

    worst = minimize_scalar(
        held, bounds=(phi, math.pi / 2 - lean), method="bounded", options={"xatol": 1e-10}
    )
    whole = total_n_m(level) / math.cos(delta - lean)
    plane = pressure.failure_plane_rad(phi, delta, lean, slope)
    assert whole == pytest.approx(-worst.fun, rel=1e-6)
    assert -held(plane) == pytest.approx(-worst.fun, rel=1e-6)
    assert math.degrees(plane) == pytest.approx(math.degrees(worst.x), abs=1e-3)


@given(frictions, shares, batters, shares)
def test_coulomb_agrees_with_an_open_library(
    friction: float, wall: float, batter: float, rise: float
) -> None:
    """UFC 3-220-20 Eq 4-10 with the opposite face angle (1e-9), and a trenching manual's form,
    which the library rounds to four decimals."""
    slope = -10 + rise * (friction + 10)
    found = pressure.coulomb(deg(friction), deg(wall * friction), deg(batter), deg(slope))
    other = ufc.coulomb_active_coefficient(friction, -batter, wall * friction, slope)
    third = trenching.coulomb_ka(friction, wall * friction, slope, -batter)["ka"]
    assert found == pytest.approx(other, rel=1e-9)
    assert found == pytest.approx(third, abs=5.1e-5)


@given(frictions, shares)
def test_rankine_agrees_with_an_open_library(friction: float, rise: float) -> None:
    """UFC 3-220-20 Eq 4-3 on level ground (1e-9), a trenching manual's form on slopes."""
    level = pressure.rankine(deg(friction))
    assert level == pytest.approx(ufc.rankine_active_pressure_coefficient(friction), rel=1e-9)
    sloped = trenching.rankine_ka(friction, rise * friction)["ka"]
    assert pressure.rankine(deg(friction), deg(rise * friction)) == pytest.approx(
        sloped, abs=5.1e-5
    )
