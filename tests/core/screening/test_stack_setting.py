"""What a wall is held against keeps what it was asked for: never for another section."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.screening.formulas.earth_pressure import PressureLimitError
from service.core.screening.stack_case import stack_case
from service.core.screening.wall_section import Loading, Strip, UpperWall, WallSection
from tests.core.screening.test_two_soils import SAND_PLANE, sand_before_clay
from tests.given.basis import ASSOCIATION
from tests.given.layered import LEVEL, ground
from tests.given.statics import LB_FT
from tests.given.walls import ft

PLAIN = WallSection(station_m=0.0, base=0, top_joint=6, soil_m=ft(4), load=LEVEL)
ABOVE = UpperWall(
    name="up",
    offset_m=ft(5),
    underside_m=-0.2,
    front_m=0.0,
    section=WallSection(station_m=0.0, base=0, top_joint=3, soil_m=ft(2), load=LEVEL),
)
SECTIONS = (
    PLAIN,
    replace(PLAIN, top_joint=7),
    replace(PLAIN, base=-1),
    replace(PLAIN, soil_m=ft(3)),
    replace(PLAIN, face_m=0.05),
    replace(PLAIN, load=Loading(surcharge_pa=2000.0, back_slope=0.0)),
    replace(PLAIN, load=Loading(surcharge_pa=0.0, back_slope=0.2)),
    replace(PLAIN, load=replace(LEVEL, strips=(Strip(from_m=1.0, load_pa=3000.0),))),
    replace(PLAIN, load=replace(LEVEL, strips=(Strip(from_m=1.5, load_pa=3000.0),))),
    replace(PLAIN, load=replace(LEVEL, upper=ABOVE)),
    replace(PLAIN, load=replace(LEVEL, upper=replace(ABOVE, offset_m=ft(8)))),
    replace(PLAIN, load=replace(LEVEL, existing=((0.0, 0.0), (3.0, 0.4)), existing_slope=0.1)),
)


def test_case_is_that_of_the_section_whatever_was_asked_before() -> None:
    """Each section, asked for after all others and once more, stands as on its own."""
    setting = sand_before_clay(ft(1), SAND_PLANE)
    for _ in range(2):
        for section in SECTIONS:
            alone = stack_case(section, sand_before_clay(ft(1), SAND_PLANE))
            found = setting.case(section)
            assert found == alone
            assert found.pushed == alone.pushed


def test_case_and_picture_are_kept_for_sections_that_stand_alike() -> None:
    """Another station changes nothing; a face drawn plumb is another picture."""
    setting, farther = sand_before_clay(ft(1), SAND_PLANE), replace(PLAIN, station_m=ft(9))
    assert setting.case(farther) is setting.case(PLAIN)
    assert setting.picture(farther) is setting.picture(PLAIN)
    assert setting.picture(PLAIN, plumb=True) != setting.picture(PLAIN)
    assert setting.stack(6) is setting.stack(6)
    assert setting.stack(6) != setting.stack(7)


def test_settings_that_differ_keep_nothing_in_common() -> None:
    """A copy with another cut draws its own pictures, and is as equal as its figures are."""
    setting = sand_before_clay(ft(1), SAND_PLANE)
    setting.case(PLAIN)
    assert setting == sand_before_clay(ft(1), SAND_PLANE)
    assert replace(setting, cut=None).picture(PLAIN) != setting.picture(PLAIN)


def test_case_refuses_a_slope_that_does_not_stand_each_time() -> None:
    """What can't be drawn isn't kept: it is refused again."""
    setting = sand_before_clay(ft(1), SAND_PLANE)
    steep = replace(PLAIN, load=Loading(surcharge_pa=0.0, back_slope=1.0))
    for _ in range(2):
        with pytest.raises(PressureLimitError):
            setting.case(steep)


def test_soil_without_friction_pushes_as_water_would() -> None:
    """4 ft of 120 lb/ft3: 960 lb/ft, whatever the lean."""
    pushed = stack_case(PLAIN, ground(ASSOCIATION, friction_deg=0.0)).pushed
    assert pushed.soil_n_m / LB_FT == pytest.approx(960)


def test_cut_behind_layers_leaves_room_behind_them() -> None:
    """A floor to 1 ft behind the units; layers 6 ft long behind them, with 1 ft of room, ask for
    7 ft, and layers of half a foot end before that floor does with no room at all."""
    setting = sand_before_clay(ft(1), SAND_PLANE)
    for room, behind, floor in ((1, 6, 7), (0, 6, 6), (0, 0.5, 1), (1, 0.5, 1.5)):
        cut = replace(setting, working_room_m=ft(room)).cut_behind(ft(behind))
        assert cut is not None
        assert (cut.floor_m, cut.slope) == pytest.approx((ft(floor), SAND_PLANE))
    assert replace(setting, cut=None).cut_behind(ft(6)) is None
