"""What the fill behind the units pushes on them, by hand: six courses of 8 in, 1 in setback."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.job.basis import Basis
from service.core.screening.filled_section import FilledSection
from service.core.screening.picture import CutEdge
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import Loading, Rise, Strip, WallSection
from tests.core.screening.test_two_soils import SAND_PLANE, sand_before_clay
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import LEVEL, ground
from tests.given.statics import LB_FT, PSF, deg, leaning
from tests.given.walls import ft, inch

LEAN = math.degrees(math.atan(1 / 8))
FILL = 34.0


def filled(setting: StackSetting, load: Loading = LEVEL) -> FilledSection:
    """4 ft of soil behind six courses."""
    section = WallSection(station_m=0.0, base=0, top_joint=6, soil_m=ft(4), load=load)
    return FilledSection(ground=setting, section=section)


def other_fill(basis: Basis) -> StackSetting:
    """Fill of 34 deg before soil of 24, all of 120 lb/ft3; no cut is drawn between them."""
    setting = ground(basis, friction_deg=24)
    soils = replace(
        setting.soils, fill_friction_rad=deg(FILL), fill_wall_friction_rad=deg(FILL) * 2 / 3
    )
    return replace(setting, soils=soils)


def test_fill_pushes_by_itself_on_the_units() -> None:
    """Coulomb's coefficient of 34 deg x 120 x 4^2 / 2, wherever the weaker soil begins."""
    expected = leaning(FILL, LEAN).horizontal * 960
    for setting in (sand_before_clay(ft(1), SAND_PLANE), other_fill(ASSOCIATION)):
        pushed = filled(setting).within.whole
        assert pushed.soil_n_m / LB_FT == pytest.approx(expected, rel=1e-9)


def test_fill_before_a_cut_is_drawn_without_it() -> None:
    """The retained soil is as the fill, but a cut is drawn: the push is that of one soil."""
    cut = replace(ground(ASSOCIATION), cut=CutEdge(floor_m=0.0, slope=1.0))
    assert filled(cut).within.picture.cut is None
    plain = filled(ground(ASSOCIATION))
    assert plain.within.picture is plain.picture


def test_layers_count_from_the_base_of_their_section() -> None:
    """A base on joint 2: joints 3 and 6 lie one and four courses over it; joint 9 is over
    the soil."""
    section = WallSection(station_m=0.0, base=2, top_joint=8, soil_m=ft(4), load=LEVEL)
    found = FilledSection(ground=ground(ASSOCIATION), section=section).elevations_m((3, 6, 9))
    assert found == pytest.approx((inch(8), inch(32)))


def test_pressure_of_the_fill_is_that_of_the_slope_at_the_units() -> None:
    """1 in 4 up to 20 ft, then level: Coulomb's coefficient of 14.04 deg."""
    load = Loading(surcharge_pa=0.0, back_slope=0.25, rises=(Rise(from_m=ft(21), slope=0.0),))
    for each in (load, replace(load, rises=())):
        found = filled(ground(ASSOCIATION), each).pressure
        slope = math.degrees(math.atan(0.25))
        assert found.coefficient == pytest.approx(leaning(30, LEAN, slope).coefficient)


def test_plumb_face_bears_the_push_of_level_fill() -> None:
    """A third of 960 and of 4 ft x 100 lb/ft2, whatever rises behind: 320 and 133.3 lb/ft."""
    load = Loading(
        surcharge_pa=100 * PSF,
        back_slope=0.25,
        rises=(Rise(from_m=ft(3), slope=0.5),),
        existing=((ft(2), ft(-1)),),
        existing_slope=0.3,
    )
    pushed = filled(ground(FHWA), load).within.whole
    assert pushed.soil_n_m / LB_FT == pytest.approx(320)
    assert pushed.surcharge_n_m / LB_FT == pytest.approx(400 / 3)


def test_plumb_face_is_pushed_at_the_heel_of_the_units() -> None:
    """A light load from 3 ft behind the heel on, where the wedge of 60 deg ends at 2.31 ft: it adds
    nothing."""
    load = replace(LEVEL, strips=(Strip(from_m=ft(4), load_pa=1 * PSF),))
    pushed = filled(ground(FHWA), load).within.whole
    assert pushed.soil_n_m / LB_FT == pytest.approx(320, rel=1e-6)
    assert pushed.surcharge_n_m == 0.0


def test_failure_plane_is_that_of_the_ground_that_rises() -> None:
    """1 in 4 from a tenth of a millimeter behind the back on: as from the back on, not as under
    level ground."""
    back = inch(12) + inch(6)
    rising = replace(LEVEL, rises=(Rise(from_m=back + 0.0001, slope=0.25),))
    broken, even, level = (
        filled(ground(ASSOCIATION), load).failure_plane_rad
        for load in (rising, replace(LEVEL, back_slope=0.25), LEVEL)
    )
    assert broken == pytest.approx(even, abs=1e-3)
    assert even < level - 0.05
