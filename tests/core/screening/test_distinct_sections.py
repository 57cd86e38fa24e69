"""Sections that stand alike are looked at once: at the first station, all others each."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import pytest

from service.core.screening.wall_section import Loading, WallSection, distinct, section_of_ends
from tests.given.walls import ft, laid, level_wall

LOAD = Loading(surcharge_pa=0.0, back_slope=0.25)
SECTION = WallSection(
    station_m=3.0, base=0, top_joint=5, soil_m=1.0, load=LOAD, face_m=0.0, buried_m=0.1
)
OTHER: dict[str, Any] = {
    "base": 1,
    "top_joint": 6,
    "soil_m": 1.0001,
    "load": replace(LOAD, back_slope=0.26),
    "face_m": 0.02,
    "buried_m": 0.2,
}


def test_distinct_keeps_the_first_station_of_sections_that_stand_alike() -> None:
    """The same section at 3, 2 and 5 m is that at 2 m, in the place of the first."""
    others = [replace(SECTION, station_m=at) for at in (2.0, 5.0)]
    apart = replace(SECTION, soil_m=1.2)
    assert distinct([SECTION, apart, *others]) == [replace(SECTION, station_m=2.0), apart]


@pytest.mark.parametrize("name", [f.name for f in fields(WallSection) if f.name != "station_m"])
def test_distinct_keeps_sections_that_differ_in_anything_else(name: str) -> None:
    """One field that differs, each in turn, leaves two sections."""
    changed = replace(SECTION, station_m=4.0, **{name: OTHER[name]})
    assert distinct([SECTION, changed]) == [SECTION, changed]


def test_section_is_buried_by_what_its_front_grade_lies_over_its_base() -> None:
    """A front grade of 4 ft, a back grade of 8 ft, both over the underside of the lowest unit."""
    layout = laid(level_wall(front=ft(4)))
    (stretch,) = layout.stretches
    underside = layout.grid.level_m(stretch.base)
    assert underside > ft(3)
    for found in section_of_ends(layout, stretch, lambda _s, _b: (LOAD,)):
        assert found.buried_m == pytest.approx(ft(4) - underside)
        assert found.soil_m == pytest.approx(ft(8) - underside)


def test_stretch_without_courses_has_no_section() -> None:
    """Base and top on one joint: nothing stands there. With courses it has one at each end."""
    layout = laid(level_wall())
    (stretch,) = layout.stretches
    none = replace(stretch, top_joint=stretch.base)
    found = [section_of_ends(layout, each, lambda _s, _b: (LOAD,)) for each in (none, stretch)]
    assert [len(each) for each in found] == [0, 2]
