"""What changes little changes little in the checks, and what helps never hurts."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.job.wall_system import Interface
from service.core.screening import stack_checks
from service.core.screening.picture import CutEdge
from service.core.screening.stack_case import StackSetting, stack_case
from service.core.screening.wall_section import Loading, Strip, UpperWall, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import ground
from tests.given.statics import LB_FT, PCF, PSF, deg
from tests.given.walls import ft, inch, system

COURSE = inch(8)
TESTED = Interface(strength_n_m=800 * LB_FT, friction_rad=deg(30))
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


def under_strip(courses: int, from_m: float, psf: float) -> WallSection:
    """A wall under a load that begins so far behind its plan line."""
    strip = Strip(from_m=from_m, load_pa=psf * PSF)
    return section(courses, Loading(surcharge_pa=0.0, back_slope=0.0, strips=(strip,)))


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


def smooth(rows: list[tuple[float, float, float]], most: float) -> None:
    """No check changes by more than so much from one place to the next, none is better nearer."""
    for nearer, farther in pairwise(rows):
        for a, b in zip(nearer, farther, strict=True):
            assert b <= a * (1 + most)
            assert b >= a * (1 - 1e-6)


@pytest.mark.parametrize(("courses", "above"), [(3, 3), (6, 4), (4, 8)])
def test_checks_change_little_as_an_upper_wall_moves_off(courses: int, above: int) -> None:
    """In steps of a hundredth of the lower wall, from its top course to three heights of the
    taller: 3 % at most, never safer when nearer."""
    height = courses * COURSE
    far = 3 * max(courses, above) * COURSE
    steps = int((far - back_m(courses)) / (height / 100))
    rows = [
        ratios(under_wall(courses, above, back_m(courses) + step * height / 100))
        for step in range(steps)
    ]
    smooth(rows, 0.03)


def strips(courses: int, psf: float) -> list[tuple[float, float, float]]:
    """The checks as a load moves off by hundredths of the height."""
    height = courses * COURSE
    steps = int((3 * height - back_m(courses)) / (height / 100))
    return [
        ratios(under_strip(courses, back_m(courses) + step * height / 100, psf))
        for step in range(max(steps, 100))
    ]


@pytest.mark.parametrize(("courses", "psf"), [(3, 100), (3, 250), (6, 250), (6, 500)])
def test_checks_change_little_as_a_load_moves_off(courses: int, psf: float) -> None:
    """The same for a load: 3 % at most, never safer when nearer."""
    smooth(strips(courses, psf), 0.03)


@pytest.mark.parametrize(("courses", "psf"), [(3, 1250), (6, 2500)])
def test_sliding_changes_little_as_a_heavy_load_moves_off(courses: int, psf: float) -> None:
    """Loads over 5 times the soil's weight x height: 5 %."""
    rows = [(sliding, sliding, sliding) for sliding, _, _ in strips(courses, psf)]
    smooth(rows, 0.05)


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
