"""Finished ground in front of a wall and behind it: where it begins, where it ends.

Units of 6 in, base 1 ft under a front grade of 0, trench from half a foot in front; feet.
"""

from __future__ import annotations

import pytest

from service.core.ground.earthwork import farthest_m
from tests.given.earth import FOOT_DEEP, SIX_HIGH, dig_section, dug, ground_wall
from tests.given.walls import ft, inch, system, to_ft, unit


def test_finished_ground_in_front_falls_from_the_plan_line_on() -> None:
    """A front grade of 0 that falls 4:1 outward meets level ground at -0.5 ft 2 ft in front."""
    spec = ground_wall((0, 4, 0, -0.5), (40, 4, 0, -0.5), front_slope=0.25, graded_behind_m=0.0)
    detail = dig_section(minimum=inch(12), shares=((0.0, 0.05), (0.25, 0.05)))
    earth = dug(spec, detail, SIX_HIGH)
    assert to_ft(farthest_m(earth, "front", 0, 0)) == pytest.approx(2)


def test_finished_ground_in_front_meets_nothing_that_lies_behind_the_plan_line() -> None:
    """A 4:1 bank at -0.25 ft is as high as the level front grade of 0 a foot behind the plan line.
    In front it falls away: 3 ft out the finished ground stands a foot over it."""
    spec = ground_wall(
        *((at, 4, 0, -0.25) for at in (0, 40)),
        existing_slope=0.25,
        graded_in_front_m=ft(3),
        graded_behind_m=ft(12),
    )
    left = next(x for x in dug(spec, FOOT_DEEP, SIX_HIGH).left_standing if x.side == "front")
    assert to_ft(left.height_m) == pytest.approx(1)


def test_finished_ground_behind_stands_over_existing_ground_by_the_difference() -> None:
    """At the top of 4 ft over level ground at 1 ft, graded 12 ft behind: 3 ft are left standing."""
    spec = ground_wall((0, 4, 0, 1), (40, 4, 0, 1), graded_in_front_m=0.0, graded_behind_m=ft(12))
    (left,) = (x for x in dug(spec, FOOT_DEEP, SIX_HIGH).left_standing if x.side == "behind")
    assert to_ft(left.height_m) == pytest.approx(3)


def test_finished_ground_behind_begins_at_the_back_of_the_top_course() -> None:
    """Ten courses that lean back an inch each: the back of the tenth lies 9 + 12 in behind the
    plan line. From 4 ft there a fall of 4:1 meets level ground at 3 ft 4 ft farther back."""
    leaning = system(standard=unit(height=inch(6)), cap=None, setback=inch(1))
    spec = ground_wall((0, 4, 0, 3), (40, 4, 0, 3), back_slope=-0.25, graded_in_front_m=0.0)
    earth = dug(spec, dig_section(minimum=inch(12), cut_slope=0.0), leaning)
    assert to_ft(farthest_m(earth, "behind", 0, 0)) == pytest.approx(1.75 + 4)
