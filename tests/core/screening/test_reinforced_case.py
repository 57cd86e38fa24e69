"""A section with layers, by hand: six courses of 8 in, 12 in deep, 1 in setback, 120 lb/ft3; the
ground behind begins 6 in behind the heel, 4 ft up."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.screening.reinforced_case import Reinforced
from service.core.screening.wall_section import Loading, Rise
from tests.core.screening.test_two_soils import SAND_PLANE, sand_before_clay
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import LEVEL, ground, layered_section
from tests.given.statics import LB_FT, PSF, deg
from tests.given.walls import ft, system


def case(load: Loading = LEVEL, *, length_ft: float = 8.0, courses: int = 6) -> Reinforced:
    """Layers of this length."""
    return layered_section(ground(ASSOCIATION), courses, (1, 4), ft(length_ft), load)


def sloped(slope: float, *rises: tuple[float, float]) -> Loading:
    """A slope from the wall on, and others from so many feet behind the heel on."""
    laid = tuple(Rise(from_m=ft(at + 1), slope=after) for at, after in rises)
    return Loading(surcharge_pa=0.0, back_slope=slope, rises=laid)


@pytest.mark.parametrize(("length", "behind"), [(0.5, 0.0), (1.0, 0.0), (2.0, 1.0), (8.0, 7.0)])
def test_layers_lie_behind_the_units(length: float, behind: float) -> None:
    """What is longer than the 12 in of a unit."""
    assert case(length_ft=length).behind_m == pytest.approx(ft(behind))


def test_cut_is_dug_as_far_back_as_layers_ask_for() -> None:
    """A floor to 1 ft behind the units: layers of 8 ft end 7 ft behind them. Without a
    cut none is drawn."""
    layered = layered_section(sand_before_clay(ft(1), SAND_PLANE), 6, (1, 4), ft(8))
    assert layered.picture.cut is not None
    assert layered.picture.cut.floor_m == pytest.approx(ft(7))
    assert layered.picture.drawn == layered.filled.picture.drawn
    assert case().picture.cut is None


@pytest.mark.parametrize("place", ["friction_rad", "fill_friction_rad"])
def test_back_of_the_mass_rubs_as_the_weaker_soil(place: str) -> None:
    """20 deg beside 30."""
    setting = ground(ASSOCIATION)
    setting = replace(setting, soils=replace(setting.soils, **{place: deg(20)}))
    assert layered_section(setting, 6, (1, 4), ft(8)).rear.friction_rad == deg(20)


@pytest.mark.parametrize(
    ("load", "height"),
    [
        (LEVEL, 4.0),
        (sloped(0.25), 5.625 / (1 - 1 / 32)),
        (sloped(0.0, (7.2, 0.25)), 3.95 / (1 - 1 / 32)),
        (sloped(0.0, (7.6, 0.25)), 4.0),
        (sloped(-0.5), 0.75 / (1 + 1 / 16)),
        (sloped(-1.0), 0.0),
    ],
)
def test_back_of_the_mass_ends_where_it_meets_the_ground(load: Loading, height: float) -> None:
    """From 7 ft behind the heel on, 1 in 8, so that h = 4 + (7 + h / 8 - 1 / 2) / 4 under 1 in 4.
    Under ground that is level up to 7.2 ft it is h = 4 + (7 + h / 8 - 7.2) / 4: level ground would
    be met at 7.5 ft. Ground that falls 1 in 2: h = 4 - (7 + h / 8 - 1 / 2) / 2; never below 0."""
    assert case(load).rear.height_m == pytest.approx(ft(height))
    assert case(load).rise_m == pytest.approx(ft(height - 4), abs=1e-12)


def test_layers_bear_the_load_above_by_the_manual() -> None:
    """A plumb face under 100 lb/ft2. The lower layer carries 20 in, whose middle lies 38 in deep:
    1.35 x 120 x 3.1667 / 3 x 1.6667 = 285, and 1.35 x 100 / 3 x 1.6667 = 75 lb/ft. The upper one
    28 in, 14 in deep: 147 and 105."""
    blocks = system(setback=0.0, cap=None)
    load = Loading(surcharge_pa=100 * PSF, back_slope=0.0)
    plumb = layered_section(ground(FHWA, blocks=blocks), 6, (1, 4), ft(8), load)
    assert [pull / LB_FT for pull in plumb.pulls_n_m] == pytest.approx([360, 252])


def plumb(slope: float) -> Reinforced:
    """By the manual, on a plumb face before a slope."""
    setting = ground(FHWA, blocks=system(setback=0.0, cap=None))
    return layered_section(setting, 6, (1, 4), ft(8), sloped(slope))


def test_layers_bear_half_of_what_rises_over_them_by_the_manual() -> None:
    """1 in 4 over 7 ft is 1.75 ft, half of it 0.875 ft more over the middles, 38 in and 14 in deep,
    of 20 in and 28 in: 1.35 x 120 / 3 x depth x height."""
    expected = [54 * (deep / 12 + 0.875) * high / 12 for deep, high in ((38, 20), (14, 28))]
    assert [pull / LB_FT for pull in plumb(0.25).pulls_n_m] == pytest.approx(expected)


@pytest.mark.parametrize(("slope", "rubs"), [(-0.2, 0.0), (0.25, 0.25)])
def test_plumb_back_of_the_mass_rubs_along_the_slope(slope: float, rubs: float) -> None:
    """Not below level."""
    assert plumb(slope).rear.friction_rad == pytest.approx(math.atan(rubs))


BODY = (480 * 8.5 / 12, 3360 * 4.75)  # 480 lb at 8.5 in, 4 x 7 ft at 1 + 3.5 + 0.25 ft


@pytest.mark.parametrize(
    ("load", "over"),
    [
        (LEVEL, ()),
        # 7 ft x 1.75 ft / 2, two thirds on
        (sloped(0.25), ((735, 1 + 0.5 + 14 / 3),)),
        # from 2.5 ft on: 5 ft x 1.25 ft / 2
        (sloped(0.0, (2.5, 0.25)), ((375, 1 + 2.5 + 10 / 3),)),
        # up to 2.5 ft, then level: 2 ft x 0.5 ft / 2, and 5 ft x 0.5 ft
        (sloped(0.25, (2.5, 0.0)), ((60, 1 + 0.5 + 4 / 3), (300, 1 + 5))),
    ],
)
def test_mass_weighs_what_lies_over_its_back_grade(
    load: Loading, over: tuple[tuple[float, float], ...]
) -> None:
    """Pounds at feet from the toe, beside units and soil, between 0.5 and 7.5 ft."""
    weight, lever = case(load).mass
    total = 3840 + sum(pounds for pounds, _ in over)
    moment = sum(BODY) + sum(pounds * arm for pounds, arm in over)
    assert weight / LB_FT == pytest.approx(total)
    assert lever == pytest.approx(ft(moment / total))
