"""What a picture of the ground pushes, by hand: six courses of 8 in, 4 ft of soil of 30 deg and 120
lb/ft3."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.screening.formulas.earth_pressure import PressureLimitError, Thrust
from service.core.screening.picture import Back, CutEdge, Earth, Picture, draw
from service.core.screening.section_push import push_of
from service.core.screening.stack_case import stack_case
from service.core.screening.wall_section import Loading, Strip, UpperWall, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import LEVEL, ground
from tests.given.statics import LB_FT, PCF, PSF, deg, leaning, stack
from tests.given.walls import ft

SOIL = Earth(grip=math.tan(deg(30)), weight_n_m3=120 * PCF)
UPRIGHT = Back(from_m=0.0, batter=0.0, height_m=ft(4), friction_rad=0.0)
LEANING = Back(from_m=0.0, batter=1 / 8, height_m=ft(4), friction_rad=deg(20))
LOADED = Loading(surcharge_pa=100 * PSF, back_slope=0.0)
UP = WallSection(station_m=0.0, base=0, top_joint=3, soil_m=ft(2), load=LEVEL)
ABOVE = UpperWall(name="up", offset_m=ft(3), underside_m=0.0, front_m=0.0, section=UP)


def section(load: Loading) -> WallSection:
    """Six courses."""
    return WallSection(station_m=0.0, base=0, top_joint=6, soil_m=ft(4), load=load)


def picture(load: Loading, setback_in: float = 0.0) -> Picture:
    """One soil all round."""
    return draw(section(load), stack(6, setback_in), SOIL, SOIL, None)


def in_lb_ft(pushed: Thrust) -> tuple[float, float, float]:
    """Soil, walls above and loads."""
    parts = (pushed.soil_n_m, pushed.tiers_n_m, pushed.surcharge_n_m)
    return parts[0] / LB_FT, parts[1] / LB_FT, parts[2] / LB_FT


def test_parts_on_an_upright_back_are_those_of_rankine() -> None:
    """A third of 960 and of 4 x 100 lb/ft: 320 and 133.3; the load acts at half of the height."""
    bare, loaded = picture(LEVEL), picture(LOADED)
    assert in_lb_ft(bare.parts(UPRIGHT, 0.0)) == pytest.approx((320, 0, 0), rel=1e-6)
    assert in_lb_ft(loaded.parts(UPRIGHT, 0.0)) == pytest.approx((320, 0, 400 / 3), rel=1e-6)
    assert bare.thrust(UPRIGHT) == bare.parts(UPRIGHT, 0.0)
    assert loaded.thrust(UPRIGHT).arm_m(ft(4)) == pytest.approx(ft(2), rel=1e-6)


def test_parts_over_a_height_push_on_what_lies_over_it() -> None:
    """2 ft over the heel of a back that leans 1 in 8: Coulomb's coefficient x 120 x 2^2 / 2."""
    expected = leaning(30, math.degrees(math.atan(1 / 8))).horizontal * 240
    found = picture(LEVEL, 1.0).parts(LEANING, ft(2))
    assert in_lb_ft(found) == pytest.approx((expected, 0, 0), rel=1e-6)


def test_parts_tell_soil_walls_and_loads_apart() -> None:
    """A wall of 2 ft stands 3 ft behind: the soil pushes 320 lb/ft as without it, the wall adds to
    it, and a load behind the wall to both."""
    alone = picture(replace(LEVEL, upper=ABOVE)).parts(UPRIGHT, 0.0)
    carrying = replace(ABOVE, section=replace(UP, load=LOADED))
    loaded = picture(replace(LEVEL, upper=carrying)).parts(UPRIGHT, 0.0)
    soil, tiers, load = in_lb_ft(alone)
    assert soil == pytest.approx(320, rel=1e-6)
    assert load == 0.0
    assert 0 < tiers < 320
    assert in_lb_ft(loaded)[:2] == pytest.approx((soil, tiers))
    every = picture(replace(LEVEL, upper=carrying)).push(UPRIGHT, 0.0, walls=True, loads=True)
    assert in_lb_ft(loaded)[2] > 0
    assert sum(in_lb_ft(loaded)) == pytest.approx(every.push_n_m / LB_FT)


def test_no_ground_is_drawn_that_is_steeper_than_its_friction() -> None:
    """1 in 2 before soil whose tangent is 1/2; the weaker soil counts where both are drawn."""
    fill, weak = Earth(grip=0.5, weight_n_m3=1.0), Earth(grip=0.4, weight_n_m3=1.0)
    cut = CutEdge(floor_m=1.0, slope=1.0)

    def drawn(slope: float, native: Earth, edge: CutEdge | None) -> Picture:
        load = Loading(surcharge_pa=0.0, back_slope=slope)
        return draw(section(load), stack(6, 0.0), fill, native, edge)

    for slope, native, edge in ((0.5, fill, None), (0.45, weak, None), (0.4, weak, cut)):
        assert drawn(slope, native, edge).cut is edge
    for slope, native, edge in ((0.50000001, fill, None), (0.41, weak, cut)):
        with pytest.raises(PressureLimitError):
            drawn(slope, native, edge)


def test_even_ground_under_a_load_everywhere_has_a_closed_form() -> None:
    """It begins where the leaning back ends; nothing pushes over the top of the back."""
    push = stack_case(section(LOADED), ground(ASSOCIATION)).push
    assert push.pressure is not None
    assert push.over(ft(4)) == Thrust(soil_n_m=0.0)
    assert push.over(ft(5)) == Thrust(soil_n_m=0.0)


def test_wedges_are_sought_with_and_without_loads() -> None:
    """1,000 lb/ft2 from 1 ft behind the heel on, and nothing: 320 lb/ft."""
    load = replace(LEVEL, strips=(Strip(from_m=ft(2), load_pa=1000 * PSF),))
    push = push_of(picture(load), UPRIGHT)
    assert push.pressure is None
    assert push.soil_wedge.push_n_m / LB_FT == pytest.approx(320, rel=1e-6)
    assert push.wedge.push_n_m / LB_FT > 500
