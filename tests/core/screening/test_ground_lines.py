"""Lines of the ground behind a wall, and what is drawn of them, by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.job.load import Load
from service.core.screening.drawing import draw_behind
from service.core.screening.formulas.ground_lines import (
    after,
    before,
    broken_line,
    level_at,
    lower_of,
    through,
    until_met,
)
from service.core.screening.formulas.wedge_slice import (
    WedgeSlice,
    area_under,
    between,
    seen_from,
    weight_seen,
)
from service.core.screening.slope_behind import rise_behind
from service.core.screening.wall_section import Loading, UpperWall, WallSection
from tests.given.layered import LEVEL
from tests.given.statics import PCF, stack
from tests.given.walls import ft, inch, laid, level_wall

BANK = Load(id="bank", version="1", title="Bank", load_pa=0.0, sloped=True)


@pytest.mark.parametrize(
    ("at", "level"),
    [(-1.0, 3.0), (0.5, 3.0), (1.0, 3.0), (1.5, 3.5), (3.0, 4.5), (4.0, 5.0), (9.0, 5.0)],
)
def test_level_goes_on_beyond_the_ends_of_lines(at: float, level: float) -> None:
    """3 m high to 1 m, 1 in 1 to 2 m, 1 in 2 to 4 m: 5 m high from there on."""
    lines = [
        WedgeSlice(0.0, 1.0, 3.0, 0.0, 0.0),
        WedgeSlice(1.0, 2.0, 3.0, 1.0, 0.0),
        WedgeSlice(2.0, 4.0, 4.0, 0.5, 0.0),
    ]
    assert level_at(lines, at) == pytest.approx(level)


def test_line_breaks_where_another_slope_begins() -> None:
    """Level to 3 m, there 1 in 2 and at once 1 in 1, 1 in 4 from 5 m on, 2 m higher."""
    assert broken_line(2.0, [(1.0, 0.0), (3.0, 0.5), (3.0, 1.0), (5.0, 0.25)]) == [
        WedgeSlice(1.0, 3.0, 2.0, 0.0, 0.0),
        WedgeSlice(3.0, 5.0, 2.0, 1.0, 0.0),
        WedgeSlice(5.0, math.inf, 4.0, 0.25, 0.0),
    ]


def test_line_through_points_rises_between_them() -> None:
    """1 m over 2 m, then 3 m over 2 m."""
    assert through([(0.0, 1.0), (2.0, 2.0), (4.0, 5.0)], -1.0) == [
        WedgeSlice(0.0, 2.0, 1.0, 0.5, 0.0),
        WedgeSlice(2.0, 4.0, 2.0, 1.5, 0.0),
        WedgeSlice(4.0, math.inf, 5.0, -1.0, 0.0),
    ]


def test_line_ends_where_it_meets_another() -> None:
    """1 m high and 1 in 2, under ground of 3 m that falls 1 in 4 to 2 m and 1 in 2 from there on:
    at 2 m still 0.5 m apart, 1 m nearer for each metre."""
    line = [WedgeSlice(0.0, math.inf, 1.0, 0.5, 0.0)]
    other = [WedgeSlice(0.0, 2.0, 3.0, -0.25, 0.0), WedgeSlice(2.0, math.inf, 2.5, -0.5, 0.0)]
    assert until_met(line, other) == [
        WedgeSlice(0.0, 2.5, 1.0, 0.5, 0.0),
        WedgeSlice(2.5, math.inf, 2.25, -0.5, 0.0),
    ]


def test_line_that_begins_on_another_is_that_one() -> None:
    """1 in 1 from the ground on, which lies level there or, by rounding, a little under it; 1 mm
    over it, it goes on for good."""
    level = [WedgeSlice(0.0, math.inf, 1.0, 0.0, 0.0)]
    for begins in (1.0, 1.0 + 1e-12):
        assert until_met([WedgeSlice(3.0, math.inf, begins, 1.0, 0.0)], level) == [
            WedgeSlice(3.0, math.inf, 1.0, 0.0, 0.0)
        ]
    for over in (WedgeSlice(3.0, math.inf, 1.001, each, 0.0) for each in (0.0, 1.0)):
        assert until_met([over], level) == [over]


@pytest.mark.parametrize(
    ("first", "then"),
    [
        (WedgeSlice(0.0, 2.0, -1.0, 0.5, 0.0), WedgeSlice(2.0, math.inf, -5.0, 0.0, 0.0)),
        (WedgeSlice(0.0, 2.0, -1.0, 0.0, 0.0), WedgeSlice(2.0, math.inf, 0.0, -0.5, 0.0)),
    ],
)
def test_line_ends_where_another_only_touches_it(first: WedgeSlice, then: WedgeSlice) -> None:
    """Ground that comes up to the line at 2 m and drops there, or steps up to it and falls."""
    found = until_met([WedgeSlice(0.0, math.inf, 0.0, 0.0, 0.0)], [first, then])
    assert found == [WedgeSlice(0.0, 2.0, 0.0, 0.0, 0.0), then]


def test_lower_of_lines_changes_where_they_cross() -> None:
    """3 m high and down 1 in 2; the other up 1 in 2 from 0 to 4 m, down 3 in 2 to 6 m, level at
    -1 m from there on: they cross at 3, 5 and 8 m. The other ends at 9 m, and goes on as it was."""
    line = WedgeSlice(0.0, math.inf, 3.0, -0.5, 0.0)
    other = [
        WedgeSlice(0.0, 4.0, 0.0, 0.5, 7.0),
        WedgeSlice(4.0, 6.0, 2.0, -1.5, 7.0),
        WedgeSlice(6.0, 9.0, -1.0, 0.0, 7.0, 5.0),
    ]
    assert lower_of([line], other) == [
        WedgeSlice(0.0, 3.0, 0.0, 0.5, 7.0),
        WedgeSlice(3.0, 4.0, 1.5, -0.5, 0.0),
        WedgeSlice(4.0, 5.0, 1.0, -0.5, 0.0),
        WedgeSlice(5.0, 6.0, 0.5, -1.5, 7.0),
        WedgeSlice(6.0, 8.0, -1.0, 0.0, 7.0, 5.0),
        WedgeSlice(8.0, 9.0, -1.0, -0.5, 0.0),
        WedgeSlice(9.0, math.inf, -1.5, -0.5, 0.0),
    ]
    assert lower_of([replace(line, slope=-0.25)], other)[-1] == WedgeSlice(
        16.0, math.inf, -1.0, -0.25, 0.0
    )


def test_lower_of_lines_that_meet_at_an_end_has_no_sliver() -> None:
    """From one point on the flatter one; to a bend at which the other is met, and on below it. Of
    two that are the same the first."""
    steep, flat = (WedgeSlice(0.0, math.inf, 0.0, slope, 0.0) for slope in (1.0, 0.5))
    assert lower_of([steep], [flat]) == [flat]
    bent = [WedgeSlice(0.0, 2.0, 1.0, 0.0, 0.0), WedgeSlice(2.0, math.inf, 1.0, 1.0, 0.0)]
    assert lower_of([flat], bent) == [
        WedgeSlice(0.0, 2.0, 0.0, 0.5, 0.0),
        WedgeSlice(2.0, math.inf, 1.0, 0.5, 0.0),
    ]
    assert lower_of([flat], [replace(flat, weight_n_m3=7.0)]) == [flat]


def test_lines_are_parted_at_an_offset() -> None:
    """Up 1 in 1 to 1 m, level to 3 m, up 1 in 2 from there on."""
    first = WedgeSlice(0.0, 1.0, 0.0, 1.0, 0.0)
    level = WedgeSlice(1.0, 3.0, 1.0, 0.0, 0.0)
    last = WedgeSlice(3.0, math.inf, 1.0, 0.5, 0.0)
    lines = [first, level, last]
    assert before(lines, 1.0) == [first]
    assert after(lines, 1.0) == [level, last]
    assert before(lines, 5.0) == [first, level, replace(last, to_m=5.0)]
    assert after(lines, 5.0) == [WedgeSlice(5.0, math.inf, 2.0, 0.5, 0.0)]


def test_line_through_two_points_in_one_place_steps() -> None:
    """Offsets so near that they are one number once they are moved: the ground is upright there."""
    assert through([(0.0, 1.0), (2.0, 1.0), (2.0, 3.0)], 0.5) == [
        WedgeSlice(0.0, 2.0, 1.0, 0.0, 0.0),
        WedgeSlice(2.0, math.inf, 3.0, 0.5, 0.0),
    ]


@pytest.mark.parametrize(
    ("plane", "newtons"),
    [
        (0.25, 20000 * (0.25 + 3.0) / 2 + 4000),  # 0.25 and 3 m over it, 1 m wide
        (1.5, 20000 * 0.5 / 3 / 2 + 4000 / 3),  # 1 m under it, 0.5 m over it
        (1.0, 20000 * 0.75 * 1.5 / 2 + 4000 * 0.75),  # 0.5 m under it, 1.5 m over it
        (2.0, 0.0),  # 1.5 and 0.5 m under it
    ],
)
def test_weight_and_load_of_a_steep_line_count_where_it_is_over_the_plane(
    plane: float, newtons: float
) -> None:
    """Ground from 0.5 m high, 1 m behind, to 3.5 m high, 2 m behind; 20 kN/m3 and 4 kPa on it."""
    bank = WedgeSlice(1.0, 2.0, 0.5, 3.0, 20000.0, 4000.0)
    assert weight_seen(seen_from([bank], 0.0, 0.0), plane) == pytest.approx(newtons)


def test_load_along_a_plane_counts() -> None:
    """2 m of 4 kPa on ground that rises 1 in 2 from a point on, over a plane of the same slope."""
    bank = WedgeSlice(0.0, 2.0, 0.0, 0.5, 20000.0, 4000.0)
    assert weight_seen(seen_from([bank], 0.0, 0.0), 0.5) == 8000.0


def test_slice_in_front_of_a_point_is_not_seen() -> None:
    """1 m of ground that ends 1 m before the point; one that begins before it is seen from there
    on: 2 m over it, 3 m wide."""
    gone = WedgeSlice(0.0, 1.0, 5.0, 0.0, 18000.0)
    half = WedgeSlice(1.0, 5.0, 3.5, 0.5, 18000.0, 4000.0)
    assert seen_from([gone, half], 2.0, 2.0) == [(2.0, 0.0, 3.0, 0.5, 18000.0, 4000.0)]


def test_part_of_what_is_seen_begins_on_its_line() -> None:
    """1 m over a point and 1 m behind it, 4 m wide, up 1 in 2: from 2 to 4 m it begins 1.5 m over
    the point. Nothing of it is nearer than 1 m or farther than 5 m."""
    seen = [(1.0, 1.0, 4.0, 0.5, 7.0, 3.0)]
    assert between(seen, 2.0, 4.0) == [(1.5, 2.0, 2.0, 0.5, 7.0, 3.0)]
    assert between(seen, 0.0, 9.0) == seen
    assert between(seen, 0.0, 1.0) == between(seen, 5.0, 9.0) == []


def test_area_under_lines_lies_between_offsets_and_over_a_level() -> None:
    """Up 1 in 2 from 1 to 2 m high, then level, from 1 to 4 m and over 0.5 m: 1.25 and 2 x 1.5.
    What ends before or begins behind counts for nothing."""
    slices = [
        WedgeSlice(-3.0, 0.0, 9.0, 0.0, 0.0),
        WedgeSlice(0.0, 2.0, 1.0, 0.5, 0.0),
        WedgeSlice(2.0, 6.0, 2.0, 0.0, 0.0),
        WedgeSlice(6.0, 8.0, 9.0, 0.0, 0.0),
    ]
    assert area_under(slices, 1.0, 4.0, 0.5) == pytest.approx(4.25)


def under(offset_m: float, face_m: float) -> WallSection:
    """Six courses under three, whose own lowest course lies so far behind their plan line."""
    above = WallSection(
        station_m=0.0, base=0, top_joint=3, soil_m=inch(24), load=LEVEL, face_m=face_m
    )
    upper = UpperWall(name="up", offset_m=offset_m, underside_m=-0.2, front_m=0.0, section=above)
    load = Loading(surcharge_pa=0.0, back_slope=0.0, upper=upper)
    return WallSection(station_m=0.0, base=0, top_joint=6, soil_m=ft(4), load=load)


def test_upper_wall_stands_where_its_lowest_course_does() -> None:
    """A plan line 5 ft behind, a course that has stepped back by 0.5 ft there: a face at 5.5 ft,
    4.5 ft behind the heel."""
    six, earth = stack(6, 1.0), 120 * PCF
    drawn = draw_behind(under(ft(5), ft(0.5)), six, earth)
    assert drawn == draw_behind(under(ft(5) + ft(0.5), 0.0), six, earth)
    assert drawn.soil[0].to_m == pytest.approx(ft(4.5))


@pytest.mark.parametrize(("within", "found"), [(5.99, False), (6.0, False), (6.01, True)])
def test_rise_behind_begins_nearer_than_asked(within: float, found: bool) -> None:
    """A bank of 1 in 3 from 6 ft behind on."""
    layout = laid(replace(level_wall(), above=(BANK.above(ft(6), 1 / 3),)))
    assert rise_behind(layout, ft(within), 0.0) == ((ft(6), 1 / 3) if found else None)
