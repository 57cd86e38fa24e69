"""Gravity checks: edges, factors, and the laws that hold for every stack."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.factors import Factors
from service.core.screening.formulas.earth_pressure import Thrust
from service.core.screening.formulas.gravity import (
    CapWeight,
    Footing,
    Stack,
    bearing,
    driving_n_m,
    eccentricity,
    interface_shear,
    overturning,
    overturning_moment_n,
    pressing,
    sliding,
)
from tests.given.statics import LB_FT, PCF, deg, lb_ft_thrust, on_stack, stack
from tests.given.walls import ft

NONE = Thrust(soil_n_m=0.0)
BASE = Footing(width_m=ft(1), friction_rad=deg(30), weight_n_m3=120 * PCF, depth_m=ft(1))
courses = st.integers(1, 10)
setbacks = st.sampled_from([0.0, 0.5, 0.75, 1.0])
frictions = st.floats(24, 40)
slopes = st.floats(0, 22)
loads = st.floats(0, 200)


def ratios(
    count: int, setback: float, friction: float, slope: float, psf: float
) -> tuple[float, float, float, float]:
    """Sliding, overturning, bearing, and how far inside the base the load stands."""
    wall = stack(count, setback)
    pushed = on_stack(wall, friction, slope, psf)
    weight, lever, height = wall.weight_n_m, wall.lever_m, wall.height_m
    return (
        sliding(weight, deg(30), pushed),
        overturning(weight, lever, pushed, height),
        bearing(weight, lever, BASE, pushed, height, Factors(), psf * BASE.width_m),
        0.5 - eccentricity(weight, lever, BASE.width_m, pushed, height),
    )


@given(courses, setbacks, frictions, slopes, loads, st.floats(0.5, 100))
def test_no_ratio_rises_with_surcharge(
    count: int, setback: float, friction: float, slope: float, psf: float, more: float
) -> None:
    """More load above never helps a stack."""
    before = ratios(count, setback, friction, slope, psf)
    after = ratios(count, setback, friction, slope, psf + more)
    assert all(now <= then * (1 + 1e-12) for then, now in zip(before, after, strict=True))


@given(courses, setbacks, frictions, slopes, st.floats(0.1, 2), loads)
def test_no_ratio_rises_with_slope(
    count: int, setback: float, friction: float, slope: float, more: float, psf: float
) -> None:
    """A steeper slope behind never helps a stack."""
    before = ratios(count, setback, friction, slope, psf)
    after = ratios(count, setback, friction, slope + more, psf)
    assert all(now <= then * (1 + 1e-12) for then, now in zip(before, after, strict=True))


@given(courses, setbacks, frictions, slopes, loads)
def test_no_ratio_rises_with_a_whole_course(
    count: int, setback: float, friction: float, slope: float, psf: float
) -> None:
    """A stack one course higher stands no better in any of the four; its load may come nearer
    the middle of the base only where it stands within a tenth of it, which is no limit's."""
    *before, inside = ratios(count, setback, friction, slope, psf)
    *after, inside_after = ratios(count + 1, setback, friction, slope, psf)
    assert min(inside_after, 0.4) <= min(inside, 0.4) + 1e-12
    assert all(now <= then * (1 + 1e-12) for then, now in zip(before, after, strict=True))


@given(courses, setbacks, st.floats(0, 3_000), st.floats(0, 3_000), st.floats(1, 3_000))
def test_live_load_on_the_mass_never_helps_its_bearing(
    count: int, setback: float, soil: float, live: float, more: float
) -> None:
    """Load that stands on the mass may center what presses; it is left off where that helps."""
    wall, pushed = stack(count, setback), Thrust(soil_n_m=soil, surcharge_n_m=live)
    args = (wall.weight_n_m, wall.lever_m, BASE, pushed, wall.height_m, Factors())
    found = bearing(*args, more)
    assert found <= bearing(*args, 0.0)


def test_ratios_without_thrust_have_no_limit() -> None:
    """Nothing pushes: sliding, overturning and shear are endless, the load stands where it is."""
    wall = stack(4, 0.0)
    assert sliding(wall.weight_n_m, deg(30), NONE) == math.inf
    assert overturning(wall.weight_n_m, wall.lever_m, NONE, wall.height_m) == math.inf
    assert interface_shear(100.0, deg(30), None, 0.0, NONE) == math.inf
    assert eccentricity(wall.weight_n_m, wall.lever_m, ft(1), NONE, wall.height_m) == 0.0


def test_eccentricity_is_none_behind_the_middle() -> None:
    """Ten leaning courses without soil stand behind the middle of their base: they lean on it."""
    wall = stack(10)
    assert wall.lever_m > ft(0.5)
    assert eccentricity(wall.weight_n_m, wall.lever_m, ft(1), NONE, wall.height_m) == 0.0


def test_eccentricity_passes_a_half_off_the_base() -> None:
    """Case G2 turns over: (315 - 323.04) / 480 is before the toe, so e is 0.517 of the base, and
    nothing bears; 0.5 - (480 x 0.65625 - 242.281 x 4/3) / 480 = 0.51676."""
    wall = stack(6)
    pushed = on_stack(wall, 30)
    args = wall.weight_n_m, wall.lever_m
    assert eccentricity(*args, ft(1), pushed, wall.height_m) == pytest.approx(0.51676, abs=1e-4)
    padded = replace(BASE, pad_m=ft(0.5))
    assert bearing(*args, padded, pushed, wall.height_m) == 0.0
    pressed = pressing(*args, padded, overturning_moment_n(pushed, wall.height_m))
    assert (pressed.width_m, pressed.pressure_pa) == (0.0, math.inf)


def test_load_over_the_very_edge_stands_on_nothing() -> None:
    """100 N at 0.5 m, turned by 50 N m: it stands over the toe, and the pad spreads no width."""
    padded = Footing(width_m=1.0, friction_rad=deg(30), weight_n_m3=18_000, pad_m=0.5)
    pressed = pressing(100.0, 0.5, padded, 50.0)
    assert (pressed.width_m, pressed.pressure_pa) == (0.0, math.inf)
    assert pressing(100.0, 0.5, padded, 49.0).width_m == pytest.approx(0.02 + 0.5)


def test_load_on_a_mass_stands_over_the_middle_of_its_base() -> None:
    """100 N at 1 m and 20 N at half of 3 m, turned by 50 N m, stand (130 - 50) / 120 m from the
    toe: twice that bears, and 0.5 m of pad."""
    padded = Footing(width_m=3.0, friction_rad=deg(30), weight_n_m3=18_000, pad_m=0.5)
    pressed = pressing(100.0, 1.0, padded, 50.0, 20.0)
    assert pressed.upright_n_m == 120.0
    assert pressed.width_m == pytest.approx(4 / 3 + 0.5)


def test_nothing_bears_nothing() -> None:
    """Without weight and thrust there is no ratio to miss; with thrust alone nothing stands."""
    assert bearing(0.0, ft(0.5), BASE, NONE, 1.0) == math.inf
    assert bearing(0.0, ft(0.5), BASE, Thrust(soil_n_m=1.0), 1.0) == 0.0
    assert eccentricity(0.0, ft(0.5), ft(1), NONE, 1.0) == math.inf


def test_least_of_loads_counts() -> None:
    """0.5 N over the middle of a base of 1 m presses with 0.5 Pa on ground that bears 18,000:
    36,000, be it weight or live load. Over 0.25 m it stands 0.25 of the base before the middle.
    0.5 N m turn over what has no weight; 1 N at 45 deg holds 0.5 N twice."""
    footing = Footing(width_m=1.0, friction_rad=0.0, weight_n_m3=18_000, depth_m=1.0)
    assert bearing(0.5, 0.5, footing, NONE, 1.0) == pytest.approx(36_000)
    assert bearing(0.0, 0.5, footing, NONE, 1.0, live_on_base_n_m=0.5) == pytest.approx(36_000)
    assert bearing(0.0, 0.5, footing, Thrust(soil_n_m=0.5), 3.0) == 0.0
    assert eccentricity(0.5, 0.25, 1.0, NONE, 1.0) == pytest.approx(0.25)
    assert sliding(1.0, deg(45), Thrust(soil_n_m=0.5)) == pytest.approx(2.0)


def test_live_load_drives_and_never_resists() -> None:
    """100 lb/ft of weight on 45 deg against 20 + 10 lb/ft: 100/30; factored 90/(30 + 20)."""
    pushed = lb_ft_thrust(20, 10)
    assert sliding(100 * LB_FT, deg(45), pushed) == pytest.approx(100 / 30)
    factors = Factors(weight_low=0.9, weight_high=5.0, soil=1.5, live=2.0, sliding=1.0)
    assert sliding(100 * LB_FT, deg(45), pushed, factors) == pytest.approx(90 / 50)
    # moments about the toe at 3 ft: 90 x 0.5 over 30 x 1 + 20 x 1.5
    turned = overturning(100 * LB_FT, ft(0.5), pushed, ft(3), factors)
    assert turned == pytest.approx(45 / 60)


def test_bearing_takes_the_worse_weight() -> None:
    """A heavier mass presses more, a lighter one stands further off: the worse one counts."""
    wall = stack(3)
    pushed = on_stack(wall, 30)
    args = wall.weight_n_m, wall.lever_m, BASE, pushed, wall.height_m
    both = bearing(*args, Factors(weight_low=0.8, weight_high=3.0, bearing=0.65))
    apart = [
        bearing(*args, Factors(weight_low=weight, weight_high=weight, bearing=0.65))
        for weight in (0.8, 3.0)
    ]
    assert both == pytest.approx(min(apart))
    assert apart[0] != pytest.approx(apart[1])


def test_interface_shear_ends_at_the_most_that_was_tested() -> None:
    """50 + 200 x tan 45 = 250 lb/ft over 100; tests end at 180; factors lower what holds."""
    pushed = lb_ft_thrust(80, 20)
    held = (50 * LB_FT, deg(45))
    assert interface_shear(*held, None, 200 * LB_FT, pushed) == pytest.approx(2.5)
    assert interface_shear(*held, 180 * LB_FT, 200 * LB_FT, pushed) == pytest.approx(1.8)
    factors = Factors(weight_low=0.5, soil=1.25, live=2.5, sliding=0.8)
    found = interface_shear(*held, None, 200 * LB_FT, pushed, factors)
    assert found == pytest.approx(0.8 * 150 / 150)
    rough = interface_shear(50.0, math.atan(0.5), None, 200.0, Thrust(soil_n_m=100.0))
    assert rough == pytest.approx((50 + 100) / 100)


def test_hinged_weight_is_that_of_the_hinge_height() -> None:
    """12 in deep at 1 in for 8 in: 8 ft of the stack hang on the joint, 960 lb/ft, however high."""
    assert stack(12, 1).hinged_weight_n_m == pytest.approx(960 * LB_FT)
    assert stack(18, 1).hinged_weight_n_m == pytest.approx(960 * LB_FT)
    assert stack(6, 1).hinged_weight_n_m == pytest.approx(480 * LB_FT)
    assert stack(18, 0.0).hinged_weight_n_m == pytest.approx(1440 * LB_FT)


def test_cap_weighs_where_its_middle_lies() -> None:
    """4 courses of 0.2 m, 0.3 m deep and of 20 kN/m3, weigh 4,800 N/m, in the middle of their
    0.05 m steps 0.225 m behind the front edge; a cap of 1,200 N/m lies 0.15 + 0.1 m behind it:
    (1,080 + 300) / 6,000 m. At steps of 0.1 m the courses above 0.6 of 0.8 m don't reach the joint
    below: 3,600 N/m, and the cap."""
    cap = CapWeight(weight_n_m=1200.0, middle_m=0.1, depth_m=0.3, height_m=0.1)
    wall = Stack(
        courses=4,
        course_height_m=0.2,
        depth_m=0.3,
        setback_m=0.05,
        unit_weight_n_m3=20_000.0,
        cap=cap,
    )
    assert wall.weight_n_m == pytest.approx(6000)
    assert wall.lever_m == pytest.approx(0.23)
    assert wall.hinged_weight_n_m == pytest.approx(6000)
    assert replace(wall, setback_m=0.1).hinged_weight_n_m == pytest.approx(4800)


def test_upper_walls_push_as_soil_does() -> None:
    """80 of soil, 20 of walls, 10 of loads, factored 1.5 and 2: 150 + 20 N/m; about a base 3 m
    below, soil 1 m up and the others 1.5 m: 120 + 45 + 30 N m."""
    pushed = Thrust(soil_n_m=80.0, tiers_n_m=20.0, surcharge_n_m=10.0)
    factors = Factors(soil=1.5, live=2.0)
    assert driving_n_m(pushed, factors) == pytest.approx(170)
    assert overturning_moment_n(pushed, 3.0, factors) == pytest.approx(195)


def test_stack_without_setback_has_no_hinge() -> None:
    """An upright stack hands all of its weight down, and its center is that of a unit."""
    wall = stack(5, 0.0)
    assert wall.hinge_height_m is None
    assert wall.batter_rad == 0.0
    assert wall.lever_m == pytest.approx(ft(0.5))


def test_stack_lever_goes_by_true_steps() -> None:
    """Six courses at 3/4 in: 6 + 5 x 3/8 = 7.875 in; the smooth lean would make it 8.25."""
    assert stack(6).lever_m == pytest.approx(7.875 * 0.0254)


def test_trap_4_under_the_permit_height_is_not_stable_by_gravity() -> None:
    """4 ft of 12 in units on 30 deg: 1.14 against sliding, 0.98 against overturning, not 1.5."""
    slid, turned, _, _ = ratios(6, 0.75, 30, 0, 0)
    assert (slid, turned) == pytest.approx((1.144, 0.975), abs=0.001)
