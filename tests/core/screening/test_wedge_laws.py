"""What changes little changes little in the checks, and what helps never hurts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.job.wall_system import Interface
from service.core.screening import stack_checks
from service.core.screening.picture import CutEdge
from service.core.screening.stack_case import StackCase, StackSetting, stack_case
from service.core.screening.wall_section import Loading, UpperWall, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import ground
from tests.given.moved import changes_little
from tests.given.statics import LB_FT, PCF, deg
from tests.given.walls import ft, inch, system

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

COURSE = inch(8)
TESTED = Interface(strength_n_m=800 * LB_FT, friction_rad=deg(30))
StackFigure = Callable[[StackCase], float]
CHECKS = (stack_checks.sliding, stack_checks.overturning, stack_checks.interface_shear)
WALL = replace(system(setback=inch(1), cap=None), interface=TESTED)
SETTING = ground(ASSOCIATION, 30.0, 120.0, WALL)


def section(courses: int, load: Loading) -> WallSection:
    """Soil up to the top course."""
    return WallSection(station_m=0.0, base=0, top_joint=courses, soil_m=courses * COURSE, load=load)


def ratios(section_: WallSection, setting: StackSetting = SETTING) -> tuple[float, float, float]:
    """Sliding, overturning and shear between courses."""
    case = stack_case(section_, setting)
    return (
        stack_checks.sliding(case),
        stack_checks.overturning(case),
        stack_checks.interface_shear(case),
    )


def under_wall(courses: int, above: int, offset_m: float) -> WallSection:
    """A wall under another one, whose face lies so far behind."""
    upper = UpperWall(
        name="upper",
        offset_m=offset_m,
        underside_m=-inch(6),
        front_m=0.0,
        section=section(above, Loading(surcharge_pa=0.0, back_slope=0.0)),
    )
    return section(courses, Loading(surcharge_pa=0.0, back_slope=0.0, upper=upper))


def back_m(courses: int) -> float:
    """The back of the top course, behind the plan line."""
    return inch(12) + (courses - 1) * inch(1)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
@pytest.mark.parametrize("friction", [24.0, 38.0])
@pytest.mark.parametrize(("courses", "above"), [(2, 2), (3, 3), (6, 4), (4, 8)])
def test_checks_change_little_as_an_upper_wall_moves_off(
    courses: int, above: int, friction: float, check: StackFigure
) -> None:
    """In steps of a hundredth of the lower wall, from its top course to three heights of the
    taller: 3 % at most in soil up to 38 deg, never safer when nearer."""
    setting, height = ground(ASSOCIATION, friction, 120.0, WALL), courses * COURSE
    far = 3 * max(courses, above) * COURSE

    def at(step: int) -> float:
        offset = back_m(courses) + step * height / 100
        return check(stack_case(under_wall(courses, above, offset), setting))

    changes_little(at, int((far - back_m(courses)) / (height / 100)), 0.03)


@given(
    courses=st.integers(2, 8),
    floor=st.floats(0.3, 4),
    slope=st.sampled_from([0.5, 1.0, 1.5]),
    fill=st.floats(26, 37),
    more=st.floats(0.1, 3),
)
@settings(max_examples=40, deadline=None)
def test_wall_gets_no_weaker_when_its_fill_gets_stronger(
    courses: int, floor: float, slope: float, fill: float, more: float
) -> None:
    """Fill of a larger friction angle before ground of 26 deg."""
    before, after = (_filled(fill + each, floor, slope) for each in (0.0, more))
    load = Loading(surcharge_pa=0.0, back_slope=0.0)
    first, then = (ratios(section(courses, load), setting) for setting in (before, after))
    assert all(b >= a * (1 - 1e-6) for a, b in zip(first, then, strict=True))


def _filled(friction: float, floor_ft: float, slope: float) -> StackSetting:
    soils = replace(
        SETTING.soils,
        friction_rad=deg(26),
        weight_n_m3=120 * PCF,
        fill_friction_rad=deg(friction),
        fill_wall_friction_rad=deg(friction) * 2 / 3,
    )
    return replace(SETTING, soils=soils, cut=CutEdge(floor_m=ft(floor_ft), slope=slope))
