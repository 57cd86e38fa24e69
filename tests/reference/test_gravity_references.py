"""Gravity walls and the ground under them against gravity.toml and an open library."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from geotech_references.dm7_2 import chapter5 as ufc
from geotech_references.gec_11 import tables as fhwa

from service.core.job.factors import Factors
from service.core.screening.formulas.bearing import (
    BearingFactors,
    bearing_factors,
    strip_capacity_pa,
)
from service.core.screening.formulas.earth_pressure import (
    Pressure,
    Thrust,
    rankine_pressure,
    thrust,
)
from service.core.screening.formulas.gravity import (
    Footing,
    Pressing,
    Stack,
    bearing,
    eccentricity,
    overturning,
    overturning_moment_n,
    pressing,
    sliding,
)
from tests.given.reference_tables import Row, read_tables, rows_of
from tests.given.statics import (
    FOOT,
    KIP_FT,
    KN,
    KSF,
    LB_FT,
    PCF,
    PSF,
    deg,
    leaning,
    on_stack,
    stack,
    total_n_m,
)
from tests.given.walls import ft, inch, to_ft

DATA = read_tables("gravity")
rows = rows_of(DATA)
E4 = DATA["example_e4"]
E4_MASS = ft(E4["ft"]) * ft(E4["length_ft"]) * E4["pcf"] * PCF
E4_THRUST = thrust(
    ft(E4["ft"]), E4["pcf"] * PCF, E4["ksf"] * KSF, Pressure(coefficient=E4["coefficient"])
)
E4_LENGTH = ft(E4["length_ft"])
E4_HEIGHT = ft(E4["ft"])
E4_BASE = Footing(width_m=E4_LENGTH, friction_rad=deg(30), weight_n_m3=E4["pcf"] * PCF)
E4_LIVE = E4["ksf"] * KSF * E4_LENGTH


def moment(weights: list[float], arms: list[float]) -> float:
    """Weights times their arms, in the units given."""
    return math.fsum(weight * arm for weight, arm in zip(weights, arms, strict=True))


def edges_pa(upright_n_m: float, off_m: float, base_m: float) -> tuple[float, float]:
    """Pressure at toe and heel of a rigid base, the load inside its middle third."""
    even, change = upright_n_m / base_m, 6 * off_m / base_m
    return even * (1 + change), even * (1 - change)


@pytest.mark.parametrize("table", DATA)
def test_gravity_toml_names_its_sources(table: str) -> None:
    """Every table says where its figures come from and how sure they are."""
    assert DATA[table]["source"]
    assert DATA[table]["sure"] in ("computed", "published")


@rows("bearing_factors")
def test_bearing_factors_give_the_published_table(row: Row) -> None:
    """Both factors at each of the listed angles."""
    found = bearing_factors(deg(row["friction"]))
    near = DATA["bearing_factors"]["tolerance"]
    assert found.nq == pytest.approx(row["nq"], abs=near)
    assert found.ngamma == pytest.approx(row["ngamma"], abs=near)


@pytest.mark.parametrize("friction", range(46))
def test_bearing_factors_agree_with_an_open_library(friction: int) -> None:
    """The whole FHWA table: 0.01 under 40 deg, from there 0.0125 (its own digits)."""
    found, other = bearing_factors(deg(friction)), fhwa.table_4_6_bearing_capacity_factors(friction)
    near = 0.01 if friction < 40 else 0.0125
    assert found.nq == pytest.approx(other["Nq"], abs=near)
    assert found.ngamma == pytest.approx(other["Ngamma"], abs=near)


def test_strip_capacity_agrees_with_an_open_library() -> None:
    """UFC 3-220-20 Eq 5-15 with the same factors: 26 deg, 18 kN/m3, 0.5 m deep, 1.2 m wide."""
    factors = bearing_factors(deg(26))
    other = ufc.ultimate_bearing_capacity_drained(
        0.0, 18e3 * 0.5, 18e3, 1.2, 0.0, factors.nq, factors.ngamma
    )
    assert strip_capacity_pa(deg(26), 18e3, 0.5, 1.2) == pytest.approx(other, rel=1e-9)


def test_strip_capacity_gives_the_published_example() -> None:
    """Example 3.4: 5 of 6 ft press, and what lies beside counts 1 + 2 tan φ (1 - sin φ)² D / B =
    1.1698 times: 151,738 lb/ft."""
    row = DATA["example_3_4"]
    factors = BearingFactors(nq=row["nq"], ngamma=row["ngamma"])
    width = ft(row["base_ft"] - 2 * row["eccentricity_ft"])
    friction = deg(row["friction"])
    share = 2 * math.tan(friction) * (1 - math.sin(friction)) ** 2
    share = 1 + share * row["depth_ft"] / row["base_ft"]  # of depth, which stands in no other term
    found = factors.capacity_pa(row["pcf"] * PCF, ft(row["depth_ft"]) * share, width) * width
    assert found / LB_FT == pytest.approx(row["lb_ft"], abs=row["tolerance_lb_ft"])


@rows("hinge_height")
def test_hinge_height_is_depth_over_the_batter(row: Row) -> None:
    """12 in deep: 10.667 ft at 3/4 in for 8 in, 8 ft at 1 in."""
    found = Stack(
        courses=6,
        course_height_m=inch(row["height_in"]),
        depth_m=inch(row["depth_in"]),
        setback_m=inch(row["setback_in"]),
        unit_weight_n_m3=120 * PCF,
    ).hinge_height_m
    assert found is not None
    assert to_ft(found) == pytest.approx(row["ft"], abs=DATA["hinge_height"]["tolerance_ft"])


@rows("stacks")
def test_stacks_give_the_constructed_set(row: Row) -> None:
    """Coefficient, thrust, weight, lever, sliding and overturning of each case."""
    near = DATA["stacks"]["tolerance"]
    wall = stack(row["courses"], row["setback_in"])
    batter = math.degrees(wall.batter_rad)
    pushed = on_stack(wall, row["friction"], row["slope"], row["psf"])
    coefficient = leaning(row["friction"], batter, row["slope"]).coefficient
    assert coefficient == pytest.approx(row["coefficient"], abs=5e-6)
    assert total_n_m(pushed) / LB_FT == pytest.approx(row["thrust"], abs=near)
    assert wall.weight_n_m / LB_FT == pytest.approx(row["weight"], abs=near)
    assert to_ft(wall.lever_m) == pytest.approx(row["lever_ft"], abs=1e-5)
    slid = sliding(wall.weight_n_m, deg(30), pushed)
    turned = overturning(wall.weight_n_m, wall.lever_m, pushed, wall.height_m)
    assert slid == pytest.approx(row["sliding"], abs=near)
    assert turned == pytest.approx(row["overturning"], abs=near)


@rows("tallest")
def test_tallest_stack_keeps_both_ratios(row: Row) -> None:
    """Most courses before sliding or overturning falls below 1.5, on ground of at most 30 deg."""
    base, least = deg(min(row["friction"], 30)), DATA["tallest"]["required"]

    def stands(courses: int) -> bool:
        wall = stack(courses, row["setback_in"])
        pushed = on_stack(wall, row["friction"])
        slid = sliding(wall.weight_n_m, base, pushed)
        turned = overturning(wall.weight_n_m, wall.lever_m, pushed, wall.height_m)
        return bool(min(slid, turned) >= least)

    assert [courses for courses in range(1, 12) if stands(courses)] == list(
        range(1, row["courses"] + 1)
    )


def test_gravity_wall_gives_the_resolved_example() -> None:
    """Example 8.4 by its own friction angle: thrust, both ratios, eccentricity, edge pressures."""
    row = DATA["example_8_4"]
    near, weights = row["tolerance"], row["weights_kn_m"]
    pressure = leaning(row["friction"], row["batter"])
    pushed = thrust(row["m"], row["kn_m3"] * KN, 0.0, pressure)
    upright = pushed.soil_n_m * math.tan(deg(row["friction"]) * 2 / 3 - deg(row["batter"]))
    assert pushed.soil_n_m / KN == pytest.approx(row["horizontal_kn_m"], abs=0.01)
    assert upright / KN == pytest.approx(row["upright_kn_m"], abs=0.01)
    weight = math.fsum(weights) * KN
    lever = moment(weights, row["arms_m"]) * KN / weight
    assert overturning(weight, lever, pushed, row["m"]) == pytest.approx(
        row["overturning"], abs=near
    )
    held = row["adhesion_kpa"] * row["base_m"]
    slid = sliding(weight, deg(row["base_friction"]), pushed)
    slid += held * KN / pushed.soil_n_m  # the base's adhesion, which screening leaves out
    assert slid == pytest.approx(row["sliding"], abs=near)
    passive = row["passive_kn_m"] * KN / pushed.soil_n_m
    assert slid + passive == pytest.approx(row["sliding_with_passive"], abs=near)
    off = eccentricity(weight, lever, row["base_m"], pushed, row["m"]) * row["base_m"]
    toe, heel = edges_pa(weight, off, row["base_m"])
    assert off == pytest.approx(row["eccentricity_m"], abs=0.0005)
    assert toe / KN == pytest.approx(row["toe_kpa"], abs=row["tolerance_kpa"])
    assert heel / KN == pytest.approx(row["heel_kpa"], abs=row["tolerance_kpa"])


def test_wall_with_a_base_gives_the_published_example() -> None:
    """Example 8.3: thrust by Rankine, both ratios, edge pressures."""
    row = DATA["example_8_3"]
    near, weights = row["tolerance"], row["weights_kip_ft"]
    pushed = thrust(ft(row["ft"]), row["pcf"] * PCF, 0.0, rankine_pressure(deg(row["friction"])))
    assert pushed.soil_n_m / KIP_FT == pytest.approx(row["thrust_kip_ft"], abs=0.0005)
    weight, base = math.fsum(weights) * KIP_FT, ft(row["base_ft"])
    lever = moment(weights, row["arms_ft"]) * FOOT * KIP_FT / weight
    turned = overturning(weight, lever, pushed, ft(row["ft"]))
    assert turned == pytest.approx(row["overturning"], abs=near)
    slid = sliding(weight, deg(row["base_friction"]), pushed)
    slid += row["adhesion_ksf"] * KSF * base / pushed.soil_n_m
    assert slid == pytest.approx(row["sliding"], abs=near)
    off = eccentricity(weight, lever, base, pushed, ft(row["ft"])) * base
    toe, heel = edges_pa(weight, off, base)
    assert toe / KSF == pytest.approx(row["toe_ksf"], abs=near)
    assert heel / KSF == pytest.approx(row["heel_ksf"], abs=near)


def test_mass_of_reinforced_soil_gives_the_published_example() -> None:
    """Example 8.6: a mass 40 ft long and 30 ft high neither turns nor slides."""
    row = DATA["example_8_6"]
    pressure = Pressure(coefficient=row["coefficient"])
    pushed = thrust(ft(row["ft"]), row["pcf"] * PCF, 0.0, pressure)
    weight = ft(row["length_ft"]) * ft(row["ft"]) * row["pcf"] * PCF
    turned = overturning(weight, ft(row["length_ft"]) / 2, pushed, ft(row["ft"]))
    slid = sliding(weight, deg(row["base_friction"]), pushed)
    assert turned == pytest.approx(row["overturning"], abs=row["tolerance"])
    assert slid == pytest.approx(row["sliding"], abs=row["tolerance"])


def test_e4_loads_and_moments_are_the_published_ones() -> None:
    """Weight and both thrusts, kip/ft, and their moments about the toe and the base's middle."""
    near = E4["tolerance"]
    mass, soil, live = E4_MASS, E4_THRUST.soil_n_m, E4_THRUST.surcharge_n_m
    assert mass / KIP_FT == pytest.approx(E4["weight"], abs=near)
    assert soil / KIP_FT == pytest.approx(E4["thrust_soil"], abs=near)
    assert live / KIP_FT == pytest.approx(E4["thrust_live"], abs=near)
    # the example multiplies rounded forces: 519.21 = 57.69 x 9
    kip = FOOT * KIP_FT
    assert mass * E4_LENGTH / 2 / kip == pytest.approx(E4["moment_weight"], abs=0.05)
    for name, pushed in (
        ("moment_soil", replace(E4_THRUST, surcharge_n_m=0.0)),
        ("moment_live", replace(E4_THRUST, soil_n_m=0.0)),
    ):
        found = overturning_moment_n(pushed, E4_HEIGHT)
        assert found / kip == pytest.approx(E4[name], abs=0.05)


@rows("example_e4", "sliding")
def test_e4_sliding_gives_the_published_ratios(row: Row) -> None:
    """Live load drives and never resists; the least weight with the most thrust governs."""
    factors = Factors(weight_low=row["weight_factor"], soil=row["soil"], live=1.75)
    found = sliding(E4_MASS, deg(E4["base_friction"]), E4_THRUST, factors)
    assert found == pytest.approx(row["ratio"], abs=E4["tolerance"])


@rows("example_e4", "eccentricity_ft")
def test_e4_eccentricity_gives_the_published_distances(row: Row) -> None:
    """Without the live load on the mass, which would hold it."""
    factors = Factors(weight_low=row["weight_factor"], soil=1.5, live=1.75)
    found = eccentricity(E4_MASS, E4_LENGTH / 2, E4_LENGTH, E4_THRUST, E4_HEIGHT, factors)
    assert to_ft(found * E4_LENGTH) == pytest.approx(row["ft"], abs=E4["tolerance"])


def e4_pressing(factors: Factors, weight: float = 1.0) -> Pressing:
    """What the mass and the live load on it press, by the factors of one loading."""
    moment = overturning_moment_n(E4_THRUST, E4_HEIGHT, factors)
    return pressing(weight * E4_MASS, E4_LENGTH / 2, E4_BASE, moment, factors.live * E4_LIVE)


@rows("example_e4", "bearing")
def test_e4_bearing_gives_the_published_pressures(row: Row) -> None:
    """The live load on the mass counts on both sides: it presses, and it moves the middle."""
    factors = Factors(soil=row["soil"], live=row["live"])
    found = e4_pressing(factors, row["weight_factor"]).pressure_pa
    assert found / KSF == pytest.approx(row["ksf"], abs=E4["tolerance"])
    ratio = E4["bearing_strength_ksf"] * KSF / found
    assert ratio == pytest.approx(row["ratio"], abs=E4["tolerance"])


def test_e4_bearing_in_service_is_the_published_pressure() -> None:
    """All factors 1: 4.655, printed 4.66."""
    found = e4_pressing(Factors()).pressure_pa
    assert found / KSF == pytest.approx(E4["service_ksf"], rel=0.005)


def test_e4_bearing_stands_on_the_published_width() -> None:
    """Most weight: 85.76 kip/ft stand 2.60 ft off the middle, on 12.79 of 18 ft."""
    width = e4_pressing(Factors(soil=1.5, live=1.75), 1.35).width_m
    assert to_ft(width) == pytest.approx(E4["max_width_ft"], abs=E4["tolerance"])
    assert to_ft(E4_LENGTH - width) / 2 == pytest.approx(E4["max_eccentricity_ft"], abs=0.005)


def test_e4_bearing_ratio_is_the_worse_of_both_weights() -> None:
    """By hand with 30 deg below and B' of each weight: capacity ½ x 125 x B' x 22.40 x 0.65 over
    6.70 and 5.86 ksf, and without live load on the mass over 57.69 / (18 - 2 x 3.871)."""
    factors = Factors(weight_high=1.35, soil=1.5, live=1.75, bearing=0.65)
    found = bearing(E4_MASS, E4_LENGTH / 2, E4_BASE, E4_THRUST, E4_HEIGHT, factors, E4_LIVE)
    by_hand = (
        0.65 * 0.5 * 0.125 * 22.40 * 12.792 / 6.704,
        0.65 * 0.5 * 0.125 * 22.40 * 11.189 / 5.860,
        0.65 * 0.5 * 0.125 * 22.40 * 10.258 / (57.69 / 10.258),
    )
    assert found == pytest.approx(min(by_hand), rel=1e-3)


def test_e7_sliding_with_an_earthquake_gives_the_published_ratio() -> None:
    """The upright part of the thrust weighs on the base: 38.98 kip/ft hold 24.64."""
    row = DATA["example_e7"]
    weight = row["weight"] + row["thrust_quake"] * math.sin(deg(row["wall_friction"]))
    pushed = Thrust(soil_n_m=row["drives"] * KIP_FT)
    found = sliding(weight * KIP_FT, deg(row["base_friction"]), pushed)
    assert found * row["drives"] == pytest.approx(row["holds"], abs=row["tolerance"])
    assert found == pytest.approx(row["ratio"], abs=row["tolerance_ratio"])


def test_bearing_of_a_stack_is_the_ratio_by_hand() -> None:
    """Case G1 on a 6 in pad, 1 ft deep: e = 0.5 - (190 - 95.716) / 320 = 0.20536 ft, so 1.08928
    ft press; capacity 120 x 18.40 + 60 x 1.08928 x 22.40, over 320 / 1.08928."""
    wall = stack(4)
    base = Footing(
        width_m=ft(1), friction_rad=deg(30), weight_n_m3=120 * PCF, depth_m=ft(1), pad_m=ft(0.5)
    )
    pushed = on_stack(wall, 30)
    found = bearing(wall.weight_n_m, wall.lever_m, base, pushed, wall.height_m)
    width = 1.5 - 2 * (0.5 - (320 * 0.59375 - 107.681 * 2.6667 / 3) / 320)
    by_hand = (120 * 18.40 + 60 * width * 22.40) / (320 / width)
    assert found == pytest.approx(by_hand, rel=1e-3)
    moment = overturning_moment_n(pushed, wall.height_m)
    most = pressing(wall.weight_n_m, wall.lever_m, base, moment).pressure_pa
    assert most / PSF == pytest.approx(320 / width, rel=1e-4)
    without_pad = replace(base, pad_m=0.0)
    assert bearing(wall.weight_n_m, wall.lever_m, without_pad, pushed, wall.height_m) < found
