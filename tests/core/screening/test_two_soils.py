"""Sand before clay: what pushes is the ground that a plane runs through."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from service.core.screening.formulas.gravity import sliding
from service.core.screening.picture import CutEdge
from service.core.screening.stack_case import StackSetting, stack_case
from service.core.screening.stack_checks import loads_in_words
from service.core.screening.wall_section import Loading, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import LEVEL, ground
from tests.given.statics import LB_FT, PCF, deg
from tests.given.walls import ft, inch, system

pytestmark = pytest.mark.no_cover  # others run the same lines

SAND_PLANE = math.tan(math.radians(55.645))
WALL = system(setback=inch(1), cap=None)


def sand_before_clay(floor_m: float, slope: float, sand: float = 34.0) -> StackSetting:
    """Sand, 120 pcf, before clay of 24 deg, 122 pcf; wall friction two thirds of the sand's."""
    setting = ground(ASSOCIATION, friction_deg=24, pcf=120, blocks=WALL)
    soils = replace(
        setting.soils,
        weight_n_m3=122 * PCF,
        fill_friction_rad=deg(sand),
        fill_wall_friction_rad=deg(sand) * 2 / 3,
        fill_weight_n_m3=120 * PCF,
    )
    return replace(setting, soils=soils, cut=CutEdge(floor_m=floor_m, slope=slope))


def section(height_m: float, load: Loading = LEVEL) -> WallSection:
    """Soil so high behind as many courses as it takes."""
    courses = math.ceil(height_m / inch(8))
    return WallSection(station_m=0.0, base=0, top_joint=courses, soil_m=height_m, load=load)


def push_lb_ft(setting: StackSetting, height_ft: float) -> float:
    """Level push, lb/ft."""
    return stack_case(section(ft(height_ft)), setting).pushed.soil_n_m / LB_FT


@pytest.mark.parametrize(
    ("floor_ft", "slope", "expected"),
    [
        (0.0, SAND_PLANE, (167, 296, 667)),
        (0.0, 1.0, (164, 291, 655)),
        (0.0, 1 / 1.5, (121, 215, 484)),
        (1.0, 1.0, (108, 192, 431)),
    ],
)
def test_push_of_sand_before_clay_is_that_of_the_wedges(
    floor_ft: float, slope: float, expected: tuple[float, float, float]
) -> None:
    """At 3, 4 and 6 ft, within 1 %: the edge from the heel along the sand's own plane, 1:1 and
    1.5:1, and 12 in behind at 1:1."""
    setting = sand_before_clay(ft(floor_ft), slope)
    found = [push_lb_ft(setting, height) for height in (3, 4, 6)]
    assert found == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("height_ft", [3, 4, 6])
@pytest.mark.parametrize("slope", [SAND_PLANE, 1.0, 1 / 1.5])
def test_push_changes_little_as_the_fill_is_widened(height_ft: float, slope: float) -> None:
    """In steps of a hundredth of the height, from the heel to two heights: no more than 5 %, and
    never more of a push where more sand lies behind."""
    height = ft(height_ft)
    setting = sand_before_clay(0.0, slope)
    ratios = []
    for step in range(201):
        wide = replace(setting, cut=CutEdge(floor_m=step * height / 100, slope=slope))
        case = stack_case(section(height), wide)
        ratios.append(sliding(1.0, deg(30), case.pushed))
    steps = [b / a for a, b in pairwise(ratios)]
    assert max(steps) < 1.05
    assert min(steps) > 1 - 1e-6


def test_shares_of_the_soils_are_told() -> None:
    """A plane in clay alone, from the heel, and one in sand alone."""
    behind = stack_case(section(ft(4)), sand_before_clay(0.0, SAND_PLANE)).push.wedge
    before = stack_case(section(ft(4)), sand_before_clay(ft(20), 1.0)).push.wedge
    assert behind.native_share == pytest.approx(1.0)
    assert before.native_share == pytest.approx(0.0)


def test_arithmetic_tells_the_whole_of_a_push_by_soils() -> None:
    """A plane in clay alone has all of its push on clay, none on sand; in sand alone it is the
    other way round."""
    for setting, fill, native in (
        (sand_before_clay(0.0, SAND_PLANE), 0, 100),
        (sand_before_clay(ft(20), 1.0), 100, 0),
    ):
        words = loads_in_words(stack_case(section(ft(4)), setting))
        assert f", {fill} % of it on fill and {native} % on retained soil" in words
