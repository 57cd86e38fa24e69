"""What a picture of the ground pushes, by hand: six courses of 8 in, 4 ft of soil of 30 deg and 120
lb/ft3."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.screening.formulas.earth_pressure import PressureLimitError, Thrust
from service.core.screening.formulas.ground_lines import level_at
from service.core.screening.picture import Back, CutEdge, Earth, Picture, draw
from service.core.screening.section_push import push_of
from service.core.screening.stack_case import stack_case
from service.core.screening.wall_section import Loading, Rise, Strip, UpperWall, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import LEVEL, ground
from tests.given.statics import LB_FT, PCF, PSF, deg, leaning, stack
from tests.given.walls import ft, inch, to_ft

SOIL = Earth(grip=math.tan(deg(30)), weight_n_m3=120 * PCF)
UPRIGHT = Back(from_m=0.0, batter=0.0, height_m=ft(4), friction_rad=0.0)
LEANING = Back(from_m=0.0, batter=1 / 8, height_m=ft(4), friction_rad=deg(20))
LOADED = Loading(surcharge_pa=100 * PSF, back_slope=0.0)
UP = WallSection(station_m=0.0, base=0, top_joint=3, soil_m=ft(2), load=LEVEL)
ABOVE = UpperWall(name="up", offset_m=ft(3), underside_m=0.0, front_m=0.0, section=UP)
# 34 deg before 24 deg
SAND = Earth(grip=math.tan(deg(34)), weight_n_m3=120 * PCF)
CLAY = Earth(grip=math.tan(deg(24)), weight_n_m3=122 * PCF)
# A wall of 2 ft without soil, from 3 in behind the heel on.
FREE = replace(ABOVE, offset_m=ft(1.25), section=replace(UP, soil_m=0.0))


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


def test_ground_behind_an_upright_cut_lies_under_back_and_existing_ground() -> None:
    """The back starts 1 ft behind the heel, rises 8 in 1 and ends at 1.5 ft; the cut is 1.125 ft
    behind. Existing ground is known from 2 ft on, 3.5 ft up, 3.75 ft at 4 ft, and rises 1 in 4 from
    there: it meets the finished ground, 4 ft up, at 5 ft."""
    load = replace(LEVEL, existing=((ft(3), ft(-0.5)), (ft(5), ft(-0.25))), existing_slope=0.25)
    cut = CutEdge(floor_m=ft(1.125), slope=math.inf)
    drawn = draw(section(load), stack(6, 1.0), SAND, CLAY, cut)
    found = drawn.ground(replace(LEANING, from_m=ft(1)), cut, walls=False, loads=False)
    assert to_ft(found.native[0].from_m) == pytest.approx(1.125)
    expected = {1.125: 1, 1.4: 3.2, 1.45: 3.5, 1.7: 3.5, 3: 3.625, 4.5: 3.875, 9: 5}
    levels = {at: to_ft(level_at(found.native, ft(at))) for at in expected}
    assert levels == pytest.approx(expected)


def test_ground_behind_an_upright_cut_at_the_back_pushes_by_itself() -> None:
    """Rankine's share of 24 deg x 122 lb/ft3 x 4^2 / 2, whatever the fill would be."""
    cut = CutEdge(floor_m=0.0, slope=math.inf)
    found = draw(section(LEVEL), stack(6, 0.0), SAND, CLAY, cut).parts(UPRIGHT, 0.0)
    share = math.tan(deg(45 - 24 / 2)) ** 2
    assert in_lb_ft(found) == pytest.approx((share * 122 * 8, 0, 0), rel=1e-6)


def test_push_of_a_cut_near_the_back_is_linear_up_to_a_sixth_of_its_height() -> None:
    """A back 2 ft behind the heel and 4 ft high: 3 in behind it, where the wedge pushes less, the
    push is three eighths of the way from that at 0 to that at 8 in."""
    back = replace(UPRIGHT, from_m=ft(2))

    def pushed(behind_in: float) -> tuple[float, float]:
        cut = CutEdge(floor_m=ft(2) + inch(behind_in), slope=2.0)
        drawn = draw(section(LEVEL), stack(6, 0.0), SAND, CLAY, cut)
        own = drawn.ground(back, cut, walls=False, loads=False).largest(back.from_m, 0.0)
        return drawn.push(back, 0.0, walls=False, loads=False).push_n_m, own.push_n_m

    (near, _), (between, own), (far, _) = map(pushed, (0.0, 3.0, 8.0))
    assert between == pytest.approx(near + 3 / 8 * (far - near))
    assert between > own * 1.05


def test_push_tells_of_a_cut_where_it_lies_if_its_soils_are_alike() -> None:
    """34 deg all round slide at 62 deg. A cut 1 in behind that rises 2 in 1 is met x ft behind,
    where x tan 62 is 2 (x - 1/12): the part over it is a wedge of the height that is left."""
    steep = math.tan(deg(62))
    met = steep * (2 / 12) / (2 - steep)
    cut = CutEdge(floor_m=inch(1), slope=2.0)
    drawn = draw(section(LEVEL), stack(6, 0.0), SAND, SAND, cut)
    found = drawn.push(UPRIGHT, 0.0, walls=False, loads=False)
    assert found.native_share == pytest.approx((1 - met / 4) ** 2, rel=1e-3)


def test_wall_close_above_acts_higher_than_at_half() -> None:
    """Units so light that the plane stays at 60 deg, 2 ft high from 0.25 to 1.25 ft behind. Over a
    depth d its 2 ft2 lie behind the plane but for what is under x sqrt 3 - d. Over all depths of
    4 ft that takes 1.25^3 / 2 - 0.25^3 / 2 = 0.969 ft3 from 8: 7.031 / 2 ft is the height."""
    light = replace(stack(6, 0.0), unit_weight_n_m3=1 * PCF)
    near = draw(section(replace(LEVEL, upper=FREE)), light, SOIL, SOIL, None)
    assert to_ft(near.thrust(UPRIGHT).arm_m(ft(4))) == pytest.approx(3.516, rel=0.01)
    away = replace(LEVEL, upper=replace(FREE, offset_m=ft(20)))
    far = draw(section(away), light, SOIL, SOIL, None)
    assert far.thrust(UPRIGHT) == far.parts(UPRIGHT, 0.0)


def test_load_acts_where_its_push_over_depth_does_but_at_half_at_least() -> None:
    """Under a slope of 1 in 2 that ends 1 ft behind the heel it acts at 2.16 ft, by the mean of 40
    slices of the height; one that begins 1.46 ft behind the face would act at 1.6 ft: 2 ft."""
    rises = (Rise(from_m=ft(2), slope=0.0),)
    sloped = picture(Loading(surcharge_pa=20 * PSF, back_slope=0.5, rises=rises))
    slices = [sloped.parts(UPRIGHT, (at + 0.5) * ft(4) / 40).surcharge_n_m for at in range(40)]
    whole = sloped.parts(UPRIGHT, 0.0).surcharge_n_m
    arm = to_ft(sloped.thrust(UPRIGHT).arm_m(ft(4)))
    assert arm == pytest.approx(4 * math.fsum(slices) / 40 / whole, rel=2e-3)
    assert arm > 2.1
    strip = Strip(from_m=ft(1.46), load_pa=1 * PSF)
    assert picture(replace(LEVEL, strips=(strip,))).thrust(UPRIGHT).arm_m(ft(4)) == ft(2)


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
    beside = push_of(picture(replace(LEVEL, upper=FREE)), UPRIGHT)
    assert beside.pressure is None
    assert beside.over(ft(4)) == Thrust(soil_n_m=0.0)


def test_ground_that_is_even_from_the_top_of_the_back_on_has_a_closed_form() -> None:
    """A slope of 1 in 4 that ends there, 3 ft behind the heel, where the back begins upright."""
    drawn = picture(
        Loading(surcharge_pa=0.0, back_slope=0.25, rises=(Rise(from_m=ft(4), slope=0.0),))
    )
    for at, known in ((2.9, False), (3.0, True), (3.1, True)):
        assert (push_of(drawn, replace(UPRIGHT, from_m=ft(at))).pressure is not None) is known


def test_wedges_are_sought_with_and_without_loads() -> None:
    """1,000 lb/ft2 from 1 ft behind the heel on, and nothing: 320 lb/ft."""
    load = replace(LEVEL, strips=(Strip(from_m=ft(2), load_pa=1000 * PSF),))
    push = push_of(picture(load), UPRIGHT)
    assert push.pressure is None
    assert push.soil_wedge.push_n_m / LB_FT == pytest.approx(320, rel=1e-6)
    assert push.wedge.push_n_m / LB_FT > 500
