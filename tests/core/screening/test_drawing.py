"""What is drawn behind a section, by hand: offsets from the heel, levels from its underside, in.

Courses of 8 in, 12 in deep, each 1 in behind the one below; 120 lb/ft3 of units, 100 of fill.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import pytest

from service.core.screening.drawing import draw_behind
from service.core.screening.formulas.gravity import CapWeight, Stack
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.wall_section import Loading, Rise, Strip, UpperWall, WallSection
from tests.given.layered import LEVEL
from tests.given.statics import LB_FT, PCF, PSF, stack
from tests.given.walls import inch, to_inch

SIX = stack(6, 1.0)
CAPPED = replace(
    SIX,
    cap=CapWeight(weight_n_m=40 * LB_FT, middle_m=inch(5), depth_m=inch(12), height_m=inch(4)),
)
FULL = WallSection(station_m=0.0, base=0, top_joint=6, soil_m=inch(48), load=LEVEL)
LOADED = Loading(surcharge_pa=10 * PSF, back_slope=0.0)
END = math.inf

Row = tuple[float, float, float, float, float, float]
"""From, to and level in inches, slope, weight in lb/ft3, load in lb/ft2."""


def rows(slices: Iterable[WedgeSlice]) -> list[Row]:
    """Slices as they are written by hand."""
    return [
        (
            to_inch(each.from_m),
            to_inch(each.to_m),
            to_inch(each.level_m),
            each.slope,
            each.weight_n_m3 / PCF,
            each.load_pa / PSF,
        )
        for each in slices
    ]


def same(slices: Iterable[WedgeSlice], *expected: Row) -> None:
    """Slices are these, in this order."""
    found = rows(slices)
    assert len(found) == len(expected)
    for one, other in zip(found, expected, strict=True):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-9)


def test_ground_begins_where_the_leaning_back_meets_the_back_grade() -> None:
    """48 in up, 6 in back; a load everywhere begins there."""
    drawn = draw_behind(replace(FULL, load=LOADED), SIX, 100 * PCF)
    same(drawn.soil, (6, END, 48, 0, 100, 0))
    assert drawn.standing == drawn.soil
    same(drawn.loads, (6, END, 48, 0, 0, 10))
    same(drawn.top, (6, END, 48, 0, 0, 0))


def test_loads_begin_behind_the_top_course_where_that_is_farther_back() -> None:
    """24 in of soil end 3 in back; the sixth course lies 5 in back."""
    drawn = draw_behind(replace(FULL, soil_m=inch(24), load=LOADED), SIX, 100 * PCF)
    same(drawn.soil, (3, END, 24, 0, 100, 0))
    same(drawn.loads, (5, END, 24, 0, 0, 10))


def test_strips_and_slopes_lie_where_they_were_stated_from_the_plan_line() -> None:
    """The face 2 in behind the plan line, units 12 in deep: 24 in are 10 in behind the heel."""
    load = Loading(
        surcharge_pa=0.0,
        back_slope=0.25,
        strips=(Strip(from_m=inch(24), load_pa=10 * PSF), Strip(from_m=0.0, load_pa=20 * PSF)),
        rises=(Rise(from_m=inch(34), slope=0.5),),
    )
    drawn = draw_behind(replace(FULL, face_m=inch(2), load=load), SIX, 100 * PCF)
    same(drawn.soil, (6, 20, 48, 0.25, 100, 0), (20, END, 51.5, 0.5, 100, 0))
    same(
        drawn.loads,
        (10, 20, 49, 0.25, 0, 10),
        (20, END, 51.5, 0.5, 0, 10),
        (6, 20, 48, 0.25, 0, 20),
        (20, END, 51.5, 0.5, 0, 20),
    )


def test_finished_ground_ends_where_it_meets_what_was_there() -> None:
    """Ground that was there, from 10 in under the back grade at 14 in behind the plan line, 1 in
    2: at 22 in behind the heel it reaches the level finished ground."""
    load = replace(LEVEL, existing=((inch(14), inch(-10)),), existing_slope=0.5)
    drawn = draw_behind(replace(FULL, load=load), SIX, 100 * PCF)
    same(drawn.soil, (6, 22, 48, 0, 100, 0), (22, END, 48, 0.5, 100, 0))
    same(drawn.top, (2, END, 38, 0.5, 0, 0))


ABOVE = WallSection(
    station_m=0.0,
    base=0,
    top_joint=3,
    soil_m=inch(20),
    load=replace(LOADED, surcharge_pa=30 * PSF),
    face_m=inch(2),
    buried_m=inch(10),
)
TIERED = replace(
    FULL,
    load=replace(
        LOADED,
        upper=UpperWall(
            name="up", offset_m=inch(60), underside_m=inch(-2), front_m=inch(8), section=ABOVE
        ),
    ),
)


def test_wall_above_stands_on_the_ground_behind() -> None:
    """Its face 60 + 2 - 12 = 50 in behind the heel, its front grade 8 in over the back grade. Three
    courses from 2 in under it on, and the cap of 40 lb on a foot of 12 x 4 in, 120 lb/ft3, whose
    middle lies 5 in behind the face of the topmost: 51 to 63 in. Its soil, 20 in, ends 62 + 2.5 in
    behind the heel."""
    drawn = draw_behind(TIERED, CAPPED, 100 * PCF)
    rise = 8 / 44
    same(drawn.soil, (6, 50, 48, rise, 100, 0), (50, END, 56, 0, 100, 0))
    same(drawn.top, (6, 50, 48, rise, 0, 0), (50, END, 56, 0, 0, 0))
    same(
        drawn.standing,
        (6, 50, 48, rise, 100, 0),
        (50, 62, 54, 0, 120, 0),
        (50, 62, 46, 0, -120, 0),
        (51, 63, 62, 0, 120, 0),
        (51, 63, 54, 0, -120, 0),
        (52, 64, 70, 0, 120, 0),
        (52, 64, 62, 0, -120, 0),
        (51, 63, 74, 0, 120, 0),
        (51, 63, 70, 0, -120, 0),
        (50, 62, 46, 0, 100, 0),
        (62, 63, 54, 0, 100, 0),
        (63, 64, 62, 0, 100, 0),
        (64, 64.5, 66, 0, 100, 0),
        (64.5, END, 66, 0, 100, 0),
    )
    same(drawn.loads, (6, 50, 48, rise, 0, 10), (64.5, END, 66, 0, 0, 30))


def test_soil_behind_a_wall_above_ends_at_its_back_grade() -> None:
    """12 in of soil end 1.5 in behind the heel: beside the second course, not the third."""
    low = replace(ABOVE, soil_m=inch(12))
    upper = UpperWall(name="up", offset_m=inch(60), underside_m=0.0, front_m=0.0, section=low)
    section = replace(FULL, load=replace(LEVEL, upper=upper))
    drawn = draw_behind(section, SIX, 100 * PCF)
    same(drawn.soil, (6, 50, 48, 0, 100, 0), (50, END, 48, 0, 100, 0))
    same(
        [each for each in drawn.standing if each.weight_n_m3 > 0 and each.slope == 0][4:],
        (50, 62, 48, 0, 100, 0),
        (62, 63, 56, 0, 100, 0),
        (63, 63.5, 60, 0, 100, 0),
        (63.5, END, 60, 0, 100, 0),
    )
    same(drawn.loads, (64, END, 60, 0, 0, 30))


def test_wall_above_at_the_back_of_the_units_leaves_the_least_ground_between() -> None:
    """18 in from the plan line are 6 in behind the heel, where the ground begins."""
    upper = UpperWall(
        name="up",
        offset_m=inch(18),
        underside_m=0.0,
        front_m=0.0,
        section=replace(ABOVE, face_m=0.0),
    )
    drawn = draw_behind(replace(FULL, load=replace(LEVEL, upper=upper)), SIX, 100 * PCF)
    assert drawn.soil[0].to_m - drawn.soil[0].from_m == pytest.approx(1e-6, rel=1e-6)


def test_measured_ground_stays_the_line_of_what_was_there_under_a_wall_above() -> None:
    """From 10 in under the back grade on, 1 in 2."""
    load = replace(TIERED.load, existing=((inch(14), inch(-10)),), existing_slope=0.5)
    drawn = draw_behind(replace(TIERED, load=load), SIX, 100 * PCF)
    same(drawn.top, (2, END, 38, 0.5, 0, 0))


def test_courses_of_a_wall_above_are_its_own() -> None:
    """Three courses of 6 in, 10 in deep, upright: nothing lies between them and their back."""
    deep = Stack(
        courses=6,
        course_height_m=inch(6),
        depth_m=inch(10),
        setback_m=0.0,
        unit_weight_n_m3=120 * PCF,
    )
    drawn = draw_behind(TIERED, deep, 100 * PCF)
    same(
        drawn.standing,
        (0, 52, 48, 8 / 52, 100, 0),
        (52, 62, 52, 0, 120, 0),
        (52, 62, 46, 0, -120, 0),
        (52, 62, 58, 0, 120, 0),
        (52, 62, 52, 0, -120, 0),
        (52, 62, 64, 0, 120, 0),
        (52, 62, 58, 0, -120, 0),
        (52, 62, 46, 0, 100, 0),
        (62, END, 66, 0, 100, 0),
    )


def test_soil_beside_the_cap_of_a_wall_above_lies_behind_its_last_course() -> None:
    """26 in of soil over the underside, 24 in of courses: up to the back plane, 62 + 3.25 in."""
    upper = TIERED.load.upper
    assert upper is not None
    higher = replace(upper, section=replace(ABOVE, soil_m=inch(26)))
    drawn = draw_behind(replace(TIERED, load=replace(LEVEL, upper=higher)), SIX, 100 * PCF)
    same(
        drawn.standing[-4:],
        (62, 63, 54, 0, 100, 0),
        (63, 64, 62, 0, 100, 0),
        (64, 65.25, 72, 0, 100, 0),
        (65.25, END, 72, 0, 100, 0),
    )
