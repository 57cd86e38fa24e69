"""The level grid, the base with its embedment, the top, and the steps between them."""

from __future__ import annotations

import math

import pytest

from service.core.job.spec import TopRounding, WallSpec
from tests.given.walls import (
    after,
    curve,
    entry,
    ft,
    inch,
    laid,
    level_wall,
    section,
    steps_in_ft,
    straight,
    system,
    to_ft,
    to_inch,
    unit,
    wall,
)

EXACT = 1e-9
SHARES = ((0.0, 0.05), (1 / 3, 0.1), (0.5, 1 / 7))
RISING = wall(
    (straight(ft(24)),), (entry(0.0, inch(52)), entry("end", inch(52), inch(24)))
)  # front grade rises 1 in per foot
FALLING = wall((straight(ft(24)),), (entry(0.0, inch(52), inch(24)), entry("end", inch(52))))


@pytest.mark.parametrize(
    ("exposed", "required", "height", "courses", "buried"),
    [
        (48, 6, 8, 7, 8),
        (36, 6, 8, 6, 12),
        (40, 6, 8, 6, 8),
        (44, 6, 8, 7, 12),
        (48, 6, 6, 9, 6),
        (32, 8, 8, 5, 8),
    ],
)
def test_lay_out_counts_courses_with_the_required_burial(
    exposed: int, required: int, height: int, courses: int, buried: int
) -> None:
    """Courses are ceil((exposed + required)/height), exactly where it divides: 40/8 is 5."""
    found = laid(
        level_wall(exposed=inch(exposed)),
        system(cap=None, standard=unit(height=inch(height))),
        section(minimum=inch(required)),
    )
    assert len(found.courses) == courses
    assert to_inch(found.courses[0].elevation_m) == pytest.approx(-buried, abs=1e-6)


def test_lay_out_counts_metric_courses_that_divide_exactly() -> None:
    """1.8 m exposed and 0.3 m buried in courses of 0.3 m are 7, not 8."""
    found = laid(
        level_wall(12.0, 1.8),
        system(cap=None, standard=unit(height=0.3)),
        section(minimum=0.3),
    )
    assert len(found.courses) == 7
    assert found.max_wall_height_m == pytest.approx(2.1, rel=EXACT)


@pytest.mark.parametrize(("rounding", "courses", "height_in"), [("up", 7, 60), ("down", 6, 52)])
def test_lay_out_from_the_base_rounds_the_top_to_whole_courses(
    rounding: TopRounding, courses: int, height_in: int
) -> None:
    """Base 8 in down; 44 in under the cap: up to the joint at 48, down to the one at 40."""
    found = laid(level_wall(level_from="base", top_rounding=rounding))
    assert to_inch(found.courses[0].elevation_m) == pytest.approx(-8, abs=1e-9)
    assert len(found.courses) == courses
    assert to_inch(found.max_wall_height_m) == pytest.approx(height_in, rel=EXACT)


def test_lay_out_from_the_top_meets_the_highest_top_exactly() -> None:
    """Joints hang from max(top) - cap: the lower part rounds up to a joint of the same grid."""
    # tops 50 and 40 in: datum 46; 36 under the cap of the lower part is built to the joint at 38
    profile = (
        entry(0.0, inch(50)),
        entry(ft(10), inch(50)),
        entry(ft(10), inch(40)),
        entry("end", inch(40)),
    )
    found = laid(wall((straight(ft(20)),), profile))
    tops = [round(to_inch(c.elevation_m) + 8, 6) for c in found.courses]
    assert tops[-2:] == [38, 46]
    assert to_ft(found.courses[-1].runs[0].to_station_m) == pytest.approx(10, rel=EXACT)


def test_lay_out_with_the_top_rounded_down_stays_below_the_lower_top() -> None:
    """Rounded down, the lower part of the same wall ends at the joint at 30."""
    profile = (
        entry(0.0, inch(50)),
        entry(ft(10), inch(50)),
        entry(ft(10), inch(40)),
        entry("end", inch(40)),
    )
    found = laid(wall((straight(ft(20)),), profile, top_rounding="down"))
    ends = [
        (round(to_inch(c.elevation_m) + 8, 6), round(to_ft(c.runs[0].to_station_m), 6))
        for c in found.courses[-3:]
    ]
    assert ends == [(30, 20), (38, 10), (46, 10)]


@pytest.mark.parametrize(
    ("front_slope", "courses"), [(0.0, 16), (1 / 3, 17), (0.4, 18), (0.5, 18), (-0.2, 16)]
)
def test_lay_out_buries_by_the_slope_in_front(front_slope: float, courses: int) -> None:
    """10 ft exposed: 6 in level, 12 in at 3:1, 17.14 in at 2:1 and at any slope between them."""
    # 126/8 = 15.75, 132/8 = 16.5, 137.14/8 = 17.14; ground that rises in front counts as level
    found = laid(
        level_wall(exposed=ft(10), front_slope=front_slope),
        system(cap=None),
        section(shares=SHARES),
    )
    assert len(found.courses) == courses


def test_lay_out_steps_down_where_the_share_of_exposed_outgrows_a_course() -> None:
    """5 % of the exposed height there: more than 8 in from 160 in on, so one course deeper."""
    # top 60 -> 180 in over 20 ft (6 in per foot): 160 in at 16.667 ft; 6 in up to 10 ft
    profile = (entry(0.0, inch(60)), entry("end", inch(180)))
    found = laid(wall((straight(ft(20)),), profile, level_from="base"), system(cap=None))
    assert steps_in_ft(found) == [(16.666667, -1)]
    assert to_inch(found.courses[0].elevation_m) == pytest.approx(-16, abs=1e-6)
    # joints at multiples of 8: the end is built to 184, over a base at -16
    assert to_inch(found.max_wall_height_m) == pytest.approx(200, rel=EXACT)


def test_lay_out_steps_up_with_the_ground_in_front() -> None:
    """Front grade rises 1 in per foot: base -8, 0, 8, 16 with steps at 6, 14 and 22 ft."""
    # front - 6 in reaches the joints 0, 8, 16 at 6, 14, 22 in of rise
    found = laid(RISING)
    assert steps_in_ft(found) == [(6, 1), (14, 1), (22, 1)]
    # courses from -8, 0, 8, 16 up: the first ends at 6 ft, the second at 14 ft, the third at 22 ft
    ends = [to_ft(c.runs[0].to_station_m) for c in found.courses[:4]]
    assert ends == pytest.approx([6, 14, 22, 24], rel=EXACT)


def test_lay_out_steps_down_with_a_minus() -> None:
    """Walked the other way the same steps stand at 2, 10 and 18 ft, each down."""
    assert steps_in_ft(laid(FALLING)) == [(2, -1), (10, -1), (18, -1)]


def test_lay_out_gives_a_short_base_run_the_lower_neighbors_level() -> None:
    """The last 2 ft are shorter than 4 ft: they stay at the level before, without a step."""
    detail = section(shortest_base_run=ft(4))
    assert steps_in_ft(laid(RISING, None, detail)) == [(6, 1), (14, 1)]
    assert steps_in_ft(laid(FALLING, None, detail)) == [(10, -1), (18, -1)]


def test_lay_out_keeps_a_base_run_of_exactly_the_shortest_length() -> None:
    """Only a run shorter than the section's length is given up."""
    detail = section(shortest_base_run=ft(2))
    assert steps_in_ft(laid(RISING, None, detail)) == [(6, 1), (14, 1), (22, 1)]


def ground_of(*pieces: tuple[float, float]) -> WallSpec:
    """A wall 4 ft high over pieces of level front grade, each (length in ft, grade in in)."""
    ends = [sum(length for length, _ in pieces[: i + 1]) for i in range(len(pieces))]
    begins = [0.0, *ends[:-1]]
    profile = [
        entry("end" if station == ends[-1] else ft(station), ft(4), inch(grade))
        for begin, end, (_, grade) in zip(begins, ends, pieces, strict=True)
        for station in (begin, end)
    ]
    return wall((straight(ft(ends[-1])),), tuple(profile))


def test_lay_out_gives_a_short_run_between_two_levels_the_lower() -> None:
    """2 ft at 16 in between -8 and 0 in come down to -8, so the one step stands at 12 ft."""
    detail = section(shortest_base_run=ft(4))
    found = laid(ground_of((10, 0), (2, 24), (10, 8)), system(cap=None), detail)
    assert steps_in_ft(found) == [(12, 1)]


@pytest.mark.parametrize("pieces", [((2, 24), (10, 8)), ((10, 8), (2, 24)), ((2, 24),)])
def test_lay_out_of_two_runs_has_no_step_where_the_higher_is_short(
    pieces: tuple[tuple[float, float], ...],
) -> None:
    """2 ft over ground that is 16 in higher come down to their one neighbor, on either side of
    it; without one they stay as they are."""
    detail = section(shortest_base_run=ft(4))
    found = laid(ground_of(*pieces), system(cap=None), detail)
    assert steps_in_ft(found) == []


def test_lay_out_lowers_the_highest_short_run_first() -> None:
    """The run at 16 in comes down to 8 and makes one long run with its neighbors; the run before it
    is then long enough. The other way round both would come down to -8."""
    detail = section(shortest_base_run=ft(4))
    found = laid(ground_of((10, 0), (2, 16), (2, 24), (10, 16)), system(cap=None), detail)
    assert steps_in_ft(found) == [(10, 2)]


def test_lay_out_jumps_where_two_entries_share_a_station() -> None:
    """Two entries at one station make a vertical jump of the ground, and one step of two."""
    # no cap, top 48, datum 48: front 0 -> base -8; front 16 -> base at or below 10: 8
    profile = (
        entry(0.0, ft(4)),
        entry(ft(10), ft(4)),
        entry(ft(10), ft(4), inch(16)),
        entry("end", ft(4), inch(16)),
    )
    found = laid(wall((straight(ft(20)),), profile), system(cap=None))
    assert steps_in_ft(found) == [(10, 2)]


def test_lay_out_reads_stations_after_a_part_and_at_the_end() -> None:
    """`after` 2 stands at the end of the second part, `end` at the end of the plan."""
    # 10 ft + 9 ft (9 ft radius over 1 rad) + 11 ft; jump of the ground at 19 ft
    plan = (straight(ft(10)), curve("outside", ft(9), math.degrees(1)), straight(ft(11)))
    profile = (
        entry(0.0, ft(4)),
        entry(after(2), ft(4)),
        entry(after(2), ft(4), inch(8)),
        entry("end", ft(4), inch(8)),
    )
    found = laid(wall(plan, profile), system(cap=None))
    assert steps_in_ft(found) == [(19, 1)]
    assert to_ft(found.length_m) == pytest.approx(30, rel=EXACT)


def test_lay_out_takes_the_last_station_to_the_end_of_the_plan() -> None:
    """A last station half an inch short is taken to stand at the plan's end."""
    profile = (entry(0.0, ft(4)), entry(ft(39, 11.5), ft(4)))
    found = laid(wall((straight(ft(40)),), profile))
    assert to_ft(found.courses[0].runs[0].to_station_m) == pytest.approx(40, rel=EXACT)
    assert to_inch(found.courses[0].runs[0].face_length_m) == pytest.approx(480, rel=EXACT)


def test_lay_out_allows_a_top_at_front_grade() -> None:
    """Nothing exposed is allowed: embedment still makes a course."""
    # datum -4; base joint at or below -6 is -12: one course under the cap
    found = laid(level_wall(exposed=0.0))
    assert len(found.courses) == 1
    assert found.exposed_area_m2 == pytest.approx(0, abs=1e-12)


def test_lay_out_keeps_the_grid_on_the_lowest_front_grade_from_the_base() -> None:
    """From the base, joints lie whole courses from the lowest front grade, wherever it is."""
    # front grade 5 in, then 0 (lowest): joints at multiples of 8; base -8 at 0 and
    # at or below 5 - 6 = -1, so -8 as well: no step
    profile = (
        entry(0.0, ft(4), inch(5)),
        entry(ft(10), ft(4), inch(5)),
        entry(ft(10), ft(4)),
        entry("end", ft(4)),
    )
    found = laid(wall((straight(ft(20)),), profile, level_from="base"))
    assert steps_in_ft(found) == []
    assert to_inch(found.courses[0].elevation_m) == pytest.approx(-8, abs=1e-9)


def test_lay_out_is_the_same_wall_a_hundred_feet_higher() -> None:
    """Elevations are only a datum: units and areas don't change 100 ft higher."""
    low, high = laid(level_wall()), laid(level_wall(front=ft(100)))
    assert [c.runs for c in low.courses] == [c.runs for c in high.courses]
    assert to_ft(high.courses[0].elevation_m) == pytest.approx(99, rel=EXACT)
    assert high.face_area_m2 == pytest.approx(low.face_area_m2, rel=EXACT)
