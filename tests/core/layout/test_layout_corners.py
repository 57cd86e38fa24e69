"""Corners, counted by hand course by course.

7 courses, k = 0 … 6 from the lowest; units 18 in long and 12 in deep, setback 1 in, so a leg
loses or gains k·tan(angle/2) at a corner. The corner unit is 18 in long and covers 9 in of the
other leg. `A` is the leg before the corner, `B` the one after it.
"""

from __future__ import annotations

import math

import pytest

from service.core.job.spec import Curve, Ends, PlanPart, TurnSide
from tests.given.set_walls import WITH_CORNER
from tests.given.walls import (
    cap_count,
    corner,
    corners_by_course,
    curve,
    entry,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    standard_by_leg,
    straight,
    system,
    to_ft,
    to_ft2,
    to_inch,
    wall,
)

EXACT = 1e-9
Counts = list[tuple[int, ...]]


@pytest.mark.parametrize(
    ("degrees", "expected"),
    [
        # k even: A (240 - kt - 18)/18, B (120 - kt - 9)/18; k odd: A (… - 9), B (… - 18)
        # 60, t = 0.57735: A 12.33 12.80 12.27 12.74 12.21 12.67 12.14, B 6.17 5.63 6.10 5.57 …
        (60, [(13, 7), (13, 6), (13, 7), (13, 6), (13, 7), (13, 6), (13, 6)]),
        # 90, t = 1: A 12.33 12.78 12.22 12.67 12.11 12.56 12.00, B 6.17 5.61 6.06 5.50 5.94 …
        (90, [(13, 7), (13, 6), (13, 7), (13, 6), (13, 6), (13, 6), (12, 6)]),
        # 120, t = 1.73205: A 12.33 12.74 12.14 12.54 11.95 12.35 11.76, B 6.17 5.57 5.97 5.38 …
        (120, [(13, 7), (13, 6), (13, 6), (13, 6), (12, 6), (13, 6), (12, 6)]),
    ],
)
def test_lay_out_an_outside_corner_with_a_corner_unit(degrees: float, expected: Counts) -> None:
    """One corner unit a course: its face on one leg, its depth on the other, turn about."""
    found = laid(level_wall(legs("outside", degrees, ft(20), ft(10))), WITH_CORNER)
    assert standard_by_leg(found) == expected
    assert corners_by_course(found) == [1] * 7
    # listed with the leg that has its face: the longer one in the lowest course
    assert [tuple(leg.corner_units for leg in c.runs[0].legs) for c in found.courses] == [
        (1, 0), (0, 1), (1, 0), (0, 1), (1, 0), (0, 1), (1, 0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("degrees", "expected"),
    [
        # k even: A (… - 18)/18 + 1, B (… - 12)/18; k odd: A (… - 12)/18, B (… - 18)/18 + 1
        # 60: A 12.33 12.63 12.27 12.57 12.21 12.51 12.14, B 6.00 5.63 5.94 5.57 5.87 5.51 5.81
        (60, [(14, 6), (13, 7), (14, 6), (13, 7), (14, 6), (13, 7), (14, 6)]),
        # 90: A 12.33 12.61 12.22 12.50 12.11 12.39 12.00, B 6.00 5.61 5.89 5.50 5.78 5.39 5.67
        (90, [(14, 6), (13, 7), (14, 6), (13, 7), (14, 6), (13, 7), (13, 6)]),
        # 120: A 12.33 12.57 12.14 12.38 11.95 12.19 11.76, B 6.00 5.57 5.81 5.38 5.62 5.19 5.42
        (120, [(14, 6), (13, 7), (14, 6), (13, 7), (13, 6), (13, 7), (13, 6)]),
    ],
)
def test_lay_out_an_outside_corner_without_a_corner_unit(degrees: float, expected: Counts) -> None:
    """A standard unit takes the corner's place, with its own face and depth, as standard."""
    found = laid(level_wall(legs("outside", degrees, ft(20), ft(10))))
    assert standard_by_leg(found) == expected
    assert corners_by_course(found) == [0] * 7


@pytest.mark.parametrize(
    ("degrees", "expected"),
    [
        # k even: A (240 + kt + 12)/18, B (120 + kt)/18; k odd: A (240 + kt)/18, B (… + 12)/18
        # 60: A 14.00 13.37 14.06 13.43 14.13 13.49 14.19, B 6.67 7.37 6.73 7.43 6.79 7.49 6.86
        (60, [(14, 7), (14, 8), (15, 7), (14, 8), (15, 7), (14, 8), (15, 7)]),
        # 90: A 14.00 13.39 14.11 13.50 14.22 13.61 14.33, B 6.67 7.39 6.78 7.50 6.89 7.61 7.00
        (90, [(14, 7), (14, 8), (15, 7), (14, 8), (15, 7), (14, 8), (15, 7)]),
        # 120: A 14.00 13.43 14.19 13.62 14.38 13.81 14.58, B 6.67 7.43 6.86 7.62 7.05 7.81 7.24
        (120, [(14, 7), (14, 8), (15, 7), (14, 8), (15, 8), (14, 8), (15, 8)]),
    ],
)
@pytest.mark.parametrize("blocks", [system(), WITH_CORNER], ids=["plain", "corner_unit"])
def test_lay_out_an_inside_corner(blocks: object, degrees: float, expected: Counts) -> None:
    """No corner unit: one leg runs on behind the other by the unit's depth, turn about."""
    chosen = WITH_CORNER if blocks is WITH_CORNER else system()
    found = laid(level_wall(legs("inside", degrees, ft(20), ft(10))), chosen)
    assert standard_by_leg(found) == expected
    assert corners_by_course(found) == [0] * 7


def test_lay_out_the_longer_leg_after_the_corner_has_the_first_face() -> None:
    """In the lowest course the corner unit's face lies on the longer leg, here the second."""
    found = laid(level_wall(legs("outside", 90, ft(10), ft(20))), WITH_CORNER)
    assert standard_by_leg(found) == [
        (7, 13), (6, 13), (7, 13), (6, 13), (6, 13), (6, 13), (6, 12),
    ]  # fmt: skip
    assert [leg.corner_units for leg in found.courses[0].runs[0].legs] == [0, 1]


def test_lay_out_equal_legs_start_with_the_one_before_the_corner() -> None:
    """Between equal legs the one before the corner has the face in the lowest course."""
    found = laid(level_wall(legs("outside", 90, ft(10), ft(10))), WITH_CORNER)
    assert [leg.corner_units for leg in found.courses[0].runs[0].legs] == [1, 0]
    assert [leg.corner_units for leg in found.courses[1].runs[0].legs] == [0, 1]


@pytest.mark.parametrize(
    ("side", "degrees", "caps"),
    [
        # outside the front edge is the longer: (240 - 6t)/18 and (120 - 6t)/18
        ("outside", 60, 14 + 7),  # 13.14, 6.47
        ("outside", 90, 13 + 7),  # 13.00, 6.33
        ("outside", 120, 13 + 7),  # 12.76, 6.09
        # inside the rear edge, 12 in behind the front: (240 + 18t)/18 and (120 + 18t)/18
        ("inside", 60, 14 + 8),  # 13.91, 7.24
        ("inside", 90, 15 + 8),  # 14.33, 7.67
        ("inside", 120, 16 + 9),  # 15.07, 8.40
    ],
)
def test_lay_out_caps_at_a_corner_leg_by_leg(side: TurnSide, degrees: float, caps: int) -> None:
    """Caps are counted leg by leg, each as long as the longer of its two edges."""
    found = laid(level_wall(legs(side, degrees, ft(20), ft(10))), WITH_CORNER)
    assert cap_count(found) == caps


def test_lay_out_a_u_with_outside_corners() -> None:
    """6, 12 and 6 ft: both faces on the middle leg in even courses, on the ends in odd ones."""
    # even: ends (72 - k - 9)/18 = 3.50 3.39 3.28 3.17, middle (144 - 2k - 36)/18 = 6 5.78 5.56 5.33
    # odd: ends (72 - k - 18)/18 = 2.94 2.83 2.72, middle (144 - 2k - 18)/18 = 6.89 6.67 6.44
    found = laid(level_wall(legs("outside", 90, ft(6), ft(12), ft(6))), WITH_CORNER)
    even, odd = (4, 6, 4), (3, 7, 3)
    assert standard_by_leg(found) == [even, odd, even, odd, even, odd, even]
    assert corners_by_course(found) == [2] * 7
    assert [leg.corner_units for leg in found.courses[0].runs[0].legs] == [0, 2, 0]
    assert [leg.corner_units for leg in found.courses[1].runs[0].legs] == [1, 0, 1]


def test_lay_out_a_u_with_inside_corners() -> None:
    """6, 12 and 6 ft around a yard: the middle runs on at both ends in even courses."""
    # even: ends (72 + k)/18 = 4 4.11 4.22 4.33, middle (144 + 2k + 24)/18 = 9.33 9.56 9.78 10
    # odd: ends (72 + k + 12)/18 = 4.72 4.83 4.94, middle (144 + 2k)/18 = 8.11 8.33 8.56
    found = laid(level_wall(legs("inside", 90, ft(6), ft(12), ft(6))), WITH_CORNER)
    assert standard_by_leg(found) == [
        (4, 10, 4), (5, 9, 5), (5, 10, 5), (5, 9, 5), (5, 10, 5), (5, 9, 5), (5, 10, 5),
    ]  # fmt: skip


def test_lay_out_a_curve_that_runs_into_an_outside_corner() -> None:
    """10 ft, an outside curve of 20 ft and 45 deg, a right corner, 10 ft: cut where they cross."""
    # A = 120 + (240 - k)(π/4 - asin(k/(240 - k))), B = 120 - 240 + √((240 - k)² - k²)
    # A 308.50 306.71 304.92 303.14 301.35 299.57 297.78
    # B 120.00 119.00 117.99 116.98 115.97 114.95 113.92
    # even A - 18: 16.14 15.94 15.74 15.54, B - 9: 6.17 6.06 5.94 5.83
    # odd A - 9: 16.54 16.34 16.14, B - 18: 5.61 5.50 5.39
    plan = (straight(ft(10)), curve("outside", ft(20), 45), corner("outside"), straight(ft(10)))
    found = laid(level_wall(plan), WITH_CORNER)
    assert standard_by_leg(found) == [
        (17, 7), (17, 6), (16, 7), (17, 6), (16, 6), (17, 6), (16, 6),
    ]  # fmt: skip
    assert corners_by_course(found) == [1] * 7
    top = found.courses[6].runs[0].legs
    assert to_inch(top[0].face_length_m) == pytest.approx(
        120 + 234 * (math.pi / 4 - math.asin(6 / 234)), rel=EXACT
    )
    assert to_inch(top[1].face_length_m) == pytest.approx(math.sqrt(234**2 - 36) - 120, rel=EXACT)


def test_lay_out_an_inside_curve_that_runs_into_an_outside_corner() -> None:
    """The same with the curve the other way: its circle grows while the corner cuts it."""
    # A = 120 + (240 + k)(π/4 - asin(k/(240 + k))): 308.50 308.28 308.07 307.85 307.64 307.42 307.21
    # B = 360 - √((240 + k)² - k²): 120.00 119.00 118.01 117.02 116.03 115.05 114.07
    # even A - 18: 16.14 16.11 16.09 16.07, B - 9: 6.17 6.06 5.95 5.84
    # odd A - 9: 16.63 16.60 16.58, B - 18: 5.61 5.50 5.39
    plan = (straight(ft(10)), curve("inside", ft(20), 45), corner("outside"), straight(ft(10)))
    found = laid(level_wall(plan), WITH_CORNER)
    assert standard_by_leg(found) == [
        (17, 7), (17, 6), (17, 7), (17, 6), (17, 6), (17, 6), (17, 6),
    ]  # fmt: skip


def test_lay_out_an_outside_curve_that_runs_into_an_inside_corner() -> None:
    """The circle shrinks and the corner lengthens both legs; one runs on by 12 in, turn about."""
    # A = 120 + (240 - k)(π/4 + asin(k/(240 - k))): 308.50 308.71 308.92 309.14 309.35 309.57 309.78
    # B = 360 - √((240 - k)² - k²): 120.00 121.00 122.01 123.02 124.03 125.05 126.08
    # even A + 12: 17.81 17.83 17.85 17.88, B: 6.67 6.78 6.89 7.004
    # odd A: 17.15 17.17 17.20, B + 12: 7.39 7.50 7.61
    plan = (straight(ft(10)), curve("outside", ft(20), 45), corner("inside"), straight(ft(10)))
    found = laid(level_wall(plan), WITH_CORNER)
    assert standard_by_leg(found) == [
        (18, 7), (18, 8), (18, 7), (18, 8), (18, 7), (18, 8), (18, 8),
    ]  # fmt: skip
    assert corners_by_course(found) == [0] * 7


def test_lay_out_a_finished_end_and_a_corner_on_one_leg() -> None:
    """The end's and the corner's pieces both come off the leg they share."""
    # B even (120 - k - 9 - 18)/18 = 5.17 5.06 4.94 4.83, odd (120 - k - 36)/18 = 4.61 4.50 4.39
    found = laid(
        level_wall(legs("outside", 90, ft(20), ft(10)), ends=Ends(finish="finished")), WITH_CORNER
    )
    assert [leg[1] for leg in standard_by_leg(found)] == [6, 5, 6, 5, 5, 5, 5]
    assert [c.runs[0].legs[1].corner_units for c in found.courses] == [1, 2, 1, 2, 1, 2, 1]
    assert corners_by_course(found) == [2] * 7


def test_lay_out_never_counts_less_than_no_unit() -> None:
    """Where corner pieces cover more than a leg, its standard units are 0, not negative."""
    # B of 12 in: even (12 - k - 9)/18 = 0.17 0.06 -0.06 -0.17, odd (12 - k - 18)/18 < 0
    found = laid(level_wall(legs("outside", 90, ft(20), ft(1))), WITH_CORNER)
    assert [leg[1] for leg in standard_by_leg(found)] == [1, 0, 1, 0, 0, 0, 0]


def test_lay_out_a_corner_unit_only_where_the_course_is_on_both_sides() -> None:
    """A course that ends at the corner has no corner unit: one is needed where both legs are."""
    # top 48 in on the first leg, 40 in on the second: the top course stands on leg A alone,
    # as long as A moved by k = 6 up to the corner: 240 - 6 = 234/18 = 13
    plan = legs("outside", 90, ft(20), ft(10))
    profile = (
        entry(0.0, inch(48)),
        entry(ft(20), inch(48)),
        entry(ft(20), inch(40)),
        entry("end", inch(40)),
    )
    found = laid(wall(plan, profile), WITH_CORNER)
    assert corners_by_course(found) == [1, 1, 1, 1, 1, 1, 0]
    assert standard_by_leg(found)[6] == (13,)


def test_lay_out_lists_the_legs_of_a_run_by_station() -> None:
    """A run that turns a corner gives each leg's stations, face and units."""
    found = laid(level_wall(legs("outside", 90, ft(20), ft(10))), WITH_CORNER)
    (run,) = found.courses[3].runs
    places = [(to_ft(leg.from_station_m), to_ft(leg.to_station_m)) for leg in run.legs]
    assert places == [pytest.approx((0, 20)), pytest.approx((20, 30))]
    assert [to_inch(leg.face_length_m) for leg in run.legs] == pytest.approx([237, 117], rel=EXACT)
    assert run.face_length_m == pytest.approx(inch(354), rel=EXACT)


def test_lay_out_face_area_of_an_l_loses_at_the_corner() -> None:
    """Σ (360 - 2k)·8 in² over 7 courses: the corner takes two setbacks a course."""
    # 7·360 - 2·21 = 2478 in of courses
    found = laid(level_wall(legs("outside", 90, ft(20), ft(10))), WITH_CORNER)
    assert to_ft2(found.face_area_m2) == pytest.approx(2478 * 8 / 144, rel=EXACT)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_lay_out_a_curve_beside_a_straight_is_one_leg(side: TurnSide) -> None:
    """A curve and the straight beside it are one leg, rounded up once."""
    # outside k = 0: 120 + 188.50 = 308.50/18 = 17.14 -> 18; apart it would be 7 + 11
    parts: tuple[PlanPart, ...] = (straight(ft(10)), curve(side, ft(20), 45))
    found = laid(level_wall(parts))
    assert all(len(c.runs[0].legs) == 1 for c in found.courses)
    sign = -1 if side == "outside" else 1
    expected = [math.ceil((120 + (240 + sign * k) * math.pi / 4) / 18) for k in range(7)]
    assert [leg[0] for leg in standard_by_leg(found)] == expected
    assert isinstance(parts[1], Curve)


@pytest.mark.parametrize("before", [(), (10,)])
def test_lay_out_ends_a_course_at_the_corner_where_a_step_leaves_nothing_behind_it(
    before: tuple[int, ...],
) -> None:
    """A top that steps down 2 in behind an outside corner: upper courses end at the corner, the
    last one where there is another before it.

    Course k loses k in at the corner; 2 in of it are left behind the corner only for k < 2.
    """
    plan = legs("outside", 90, *map(ft, (*before, 20, 10)))
    low, high, corner_ft = inch(20), ft(4), sum(before) + 20
    profile = (
        entry(0.0, high),
        entry(ft(corner_ft, 2), high),
        entry(ft(corner_ft, 2), low),
        entry("end", low),
    )
    found = laid(wall(plan, profile), WITH_CORNER)
    # joints at 44, 36 … -12 in: 7 courses; the low top of 20 - 4 = 16 in rounds up to 20: 4 courses
    beyond = [len(course.runs[0].legs) - len(before) for course in found.courses]
    assert beyond == [2, 2, 2, 2, 1, 1, 1]
    assert [course.runs[0].to_station_m for course in found.courses[4:]] == [
        pytest.approx(ft(corner_ft))
    ] * 3


def test_lay_out_begins_a_course_at_the_corner_where_a_step_leaves_nothing_before_it() -> None:
    """The same wall from its other end: a top that steps up 2 in before an outside corner."""
    plan = legs("outside", 90, ft(10), ft(20))
    low, high = inch(20), ft(4)
    profile = (
        entry(0.0, low),
        entry(ft(9, 10), low),
        entry(ft(9, 10), high),
        entry("end", high),
    )
    found = laid(wall(plan, profile), WITH_CORNER)
    beyond = [len(course.runs[0].legs) for course in found.courses]
    assert beyond == [2, 2, 2, 2, 1, 1, 1]
    assert [course.runs[0].from_station_m for course in found.courses[4:]] == [
        pytest.approx(ft(10))
    ] * 3
