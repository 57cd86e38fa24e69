"""Earth pressure: limits of validity, and the laws that hold for every wall."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.screening.formulas.earth_pressure import (
    Pressure,
    PressureLimitError,
    Thrust,
    coulomb,
    coulomb_pressure,
    failure_plane_rad,
    rankine,
    rankine_pressure,
    surcharge_share,
    thrust,
)
from tests.given.statics import deg, leaning

frictions = st.floats(20, 44)
batters = st.floats(0, 20)
shares = st.floats(0, 0.95)
steps = st.floats(0.5, 5)


@pytest.mark.parametrize(
    ("angles", "reason"),
    [
        ((30, 20, 5, 30.1), "slope of 30.1° is steeper than the soil's friction angle, 30.0°"),
        ((30, 30.1, 5, 0), "wall friction of 30.1° must lie between 0 and"),
        ((30, -1, 5, 0), "wall friction of -1.0° must lie between 0 and"),
        ((30, 20, 60, 0), "batter of 60.0° is out of range"),
        ((30, 20, -30, 0), "batter of -30.0° is out of range"),
        ((90, 20, 0, 0), "friction angle of 90.0° is out of range"),
        ((-1, 0, 0, 0), "friction angle of -1.0° is out of range"),
        ((30, 20, 0, -90), "slope of -90.0°"),
        ((30, 20, -29, -62), "batter of -29.0° is out of range"),
    ],
)
def test_coulomb_refuses_angles_outside_its_limits(
    angles: tuple[float, float, float, float], reason: str
) -> None:
    """Coefficient, plane and pressure name the limit that is passed; none guesses on."""
    given_rad = tuple(deg(angle) for angle in angles)
    for formula in (coulomb, failure_plane_rad, coulomb_pressure):
        with pytest.raises(PressureLimitError, match=reason):
            formula(*given_rad)


def test_coulomb_refuses_a_back_along_which_the_ground_falls() -> None:
    """Batter and slope together at -90 deg: the ground goes down along the back, and holds no
    wedge."""
    batter, slope = -0.5, 0.5 - math.pi / 2
    assert batter + slope == -math.pi / 2
    with pytest.raises(PressureLimitError, match=r"batter of -28\.6° is out of range"):
        coulomb(deg(30), deg(20), batter, slope)


def test_rankine_refuses_a_slope_steeper_than_friction() -> None:
    """Up or down, such ground does not stand by itself; as steep as friction it just does."""
    for slope in (31, -31):
        with pytest.raises(PressureLimitError, match=r"31\.0°"):
            rankine(deg(30), deg(slope))
    assert rankine(deg(30), deg(30)) == pytest.approx(math.cos(deg(30)), rel=1e-6)


def test_rankine_holds_up_to_a_friction_of_90_deg() -> None:
    """At 60 deg on level ground tan² (45 - 30) = 0.0718; at 90 deg there is no such soil."""
    assert rankine(deg(60)) == pytest.approx(math.tan(deg(15)) ** 2)
    with pytest.raises(PressureLimitError, match=r"friction angle of 90\.0°"):
        rankine(deg(90))


def test_coulomb_holds_up_to_its_limits() -> None:
    """Ground of 45 deg that rises as steeply, a back and a thrust of 30: cos² 75 / cos² 30 =
    0.0893. Ground of 30 deg that falls by 70 from a smooth upright back: sin 30 cos 10 / cos 70 =
    1.4397, and cos² 30 / (1 + 1.1999)² = 0.1550."""
    assert coulomb(deg(45), deg(30), deg(30), deg(45)) == pytest.approx(0.0893, abs=5e-5)
    assert coulomb(deg(30), 0.0, 0.0, deg(-70)) == pytest.approx(0.1550, abs=5e-5)


@given(frictions, shares)
def test_rankine_is_coulomb_with_friction_along_the_slope(friction: float, rise: float) -> None:
    """On an upright back whose thrust runs along the slope both give one figure."""
    phi, slope = deg(friction), deg(rise * friction)
    assert rankine(phi, slope) == pytest.approx(coulomb(phi, slope, 0.0, slope), rel=1e-9)
    pressure = rankine_pressure(phi, slope)
    assert pressure.horizontal == pytest.approx(rankine(phi, slope) * math.cos(slope))


@given(frictions, batters, shares, steps)
def test_pressure_falls_with_batter(
    friction: float, batter: float, rise: float, step: float
) -> None:
    """A wall that leans further into its soil is pressed less, whole and level."""
    slope = rise * friction
    before, after = leaning(friction, batter, slope), leaning(friction, batter + step, slope)
    assert after.coefficient < before.coefficient
    assert after.horizontal < before.horizontal


@given(frictions, batters, shares, steps)
def test_pressure_falls_with_friction(
    friction: float, batter: float, rise: float, step: float
) -> None:
    """Soil with more friction presses less, its wall friction rising with it."""
    slope = rise * friction
    before, after = leaning(friction, batter, slope), leaning(friction + step, batter, slope)
    assert after.coefficient < before.coefficient
    assert after.horizontal < before.horizontal


@given(frictions, batters, shares, shares)
def test_pressure_rises_with_slope(
    friction: float, batter: float, rise: float, further: float
) -> None:
    """Ground that rises more steeply presses more, and its surcharge counts for no less."""
    slope = rise * friction
    steeper = slope + (friction - slope) * max(further, 0.01)
    before, after = leaning(friction, batter, slope), leaning(friction, batter, steeper)
    assert after.coefficient > before.coefficient
    assert after.surcharge_share >= before.surcharge_share


@given(frictions, st.floats(0.5, 6), st.floats(0, 20_000), st.floats(100, 20_000))
def test_thrust_rises_with_surcharge(
    friction: float, height: float, load: float, more: float
) -> None:
    """More load above pushes more, and leaves the soil's own part as it was."""
    pressure = leaning(friction, 5)
    before = thrust(height, 18_000, load, pressure)
    after = thrust(height, 18_000, load + more, pressure)
    assert after.surcharge_n_m > before.surcharge_n_m
    assert after.soil_n_m == before.soil_n_m


def test_surcharge_share_is_one_on_level_ground_or_an_upright_back() -> None:
    """Only slope and batter together let the wedge carry more; 7.125 and 18.435 deg: 1.04348."""
    assert surcharge_share(deg(10), 0.0) == pytest.approx(1.0)
    assert surcharge_share(0.0, deg(20)) == pytest.approx(1.0)
    assert surcharge_share(math.atan(1 / 8), math.atan(1 / 3)) == pytest.approx(24 / 23)


def test_surcharge_share_refuses_slope_and_batter_past_90_deg() -> None:
    """Such ground never comes out from behind the wall."""
    with pytest.raises(PressureLimitError, match=r"91\.0°"):
        surcharge_share(deg(45), deg(46))


def test_thrust_is_none_without_height() -> None:
    """No wall, no thrust; 2 m of 18 kN/m3 at 1/4 push with 9 kN/m, 5 kPa with 2.5 more."""
    pressure = Pressure(coefficient=0.25)
    assert thrust(0.0, 18_000, 5_000, pressure) == Thrust(soil_n_m=0.0, surcharge_n_m=0.0)
    pushed = thrust(2.0, 18_000, 5_000, pressure)
    assert (pushed.soil_n_m, pushed.surcharge_n_m) == pytest.approx((9_000, 2_500))


def test_thrust_is_level_and_bears_more_load_under_a_slope() -> None:
    """0.8 of 9 and of 2.5 kN/m is level; the wedge carries 1.2 times the load: 7.2 and 2.4."""
    pressure = Pressure(coefficient=0.25, horizontal_share=0.8, surcharge_share=1.2)
    pushed = thrust(2.0, 18_000, 5_000, pressure)
    assert (pushed.soil_n_m, pushed.surcharge_n_m) == pytest.approx((7_200, 2_400))


def test_what_is_added_acts_at_half_the_height_or_higher() -> None:
    """300 and 100 N/m on 3 m of back: 450 and 150 N m, 1.5 m up; 900 N m in all act 2.25 m up."""
    pushed = Thrust(soil_n_m=9.0, tiers_n_m=300.0, surcharge_n_m=100.0)
    assert pushed.added_n_m == 400.0
    assert (*pushed.moments_n(3.0), pushed.arm_m(3.0)) == (450.0, 150.0, 1.5)
    higher = replace(pushed, added_n=(700.0, 200.0))
    assert (*higher.moments_n(3.0), higher.arm_m(3.0)) == (700.0, 200.0, 2.25)


def test_least_of_loads_has_an_arm_of_its_own() -> None:
    """0.5 N/m that turns with 1.25 N m acts 2.5 m up; where nothing is added, half of 3 m."""
    assert Thrust(soil_n_m=9.0, surcharge_n_m=0.5, added_n=(0.0, 1.25)).arm_m(3.0) == 2.5
    assert Thrust(soil_n_m=9.0).arm_m(3.0) == 1.5


def test_coulomb_takes_batter_and_slope_together() -> None:
    """Stack G3 (set: stacks): 3/4 in 8 of lean under 1 in 3, soil of 30 deg: 0.34565."""
    lean, slope = (math.degrees(math.atan(each)) for each in (0.75 / 8, 1 / 3))
    assert leaning(30, lean, slope).coefficient == pytest.approx(0.34565, abs=5e-6)


def test_trap_5_the_batter_is_counted_into_the_soil() -> None:
    """32 deg and 15 deg of lean: 0.181; the reversed sign gives 0.402, more than upright."""
    assert leaning(32, 15).coefficient == pytest.approx(0.181, abs=0.0005)
    assert leaning(32, -15).coefficient == pytest.approx(0.402, abs=0.0005)
