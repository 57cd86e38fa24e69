"""Heights that fit, worked by hand: units 8 in high with a 4 in cap, 6 in embedment at least."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.built import lay_out_walls
from service.core.layout.heights import heights_that_fit, raised, with_wall
from tests.given.jobs import job_of
from tests.given.walls import (
    entry,
    ft,
    inch,
    legs,
    level_wall,
    straight,
    to_inch,
    wall,
)


def test_with_wall_replaces_one_and_leaves_the_others() -> None:
    """The second of three walls is another one; the first and the third stay."""
    first, second, third, other = (
        level_wall((straight(ft(40)),), inch(height)) for height in (24, 30, 36, 48)
    )
    three = replace(job_of(first), walls=(first, second, third))
    assert with_wall(three, 1, other).walls == (first, other, third)


def test_heights_that_fit_use_every_course_whole() -> None:
    """Whole courses: n carry 8n + 4 - 6 in: 48 in takes 7; 6 carry 46 in, 8 carry 62 in."""
    here = job_of(level_wall((straight(ft(40)),), inch(48)))
    fits = heights_that_fit(here, 0)
    assert fits.below_m is not None
    assert fits.above_m is not None
    assert to_inch(fits.below_m) == pytest.approx(-2, abs=1e-9)
    assert to_inch(fits.above_m) == pytest.approx(14, abs=1e-9)
    for change, courses in ((fits.below_m, 6), (fits.above_m, 8)):
        (found,) = lay_out_walls(with_wall(here, 0, raised(here.walls[0], change)))
        assert len(found.courses) == courses
        # the top is met exactly and the embedment is exactly the least: nothing is wasted
        assert to_inch(found.max_wall_height_m - found.max_exposed_m) == pytest.approx(6)


def test_heights_that_fit_rounded_down_are_the_first_with_the_course() -> None:
    """From the base up one course is buried: 48 in holds floor((48 - 4 + 8)/8) = 6 courses.

    The seventh stands from (7·8 - 8 + 4) = 52 in on, the fifth from 36 in on.
    """
    spec = wall(
        (straight(ft(40)),),
        (entry(0.0, inch(48)), entry("end", inch(48))),
        level_from="base",
        top_rounding="down",
    )
    fits = heights_that_fit(job_of(spec), 0)
    assert fits.below_m is not None
    assert fits.above_m is not None
    assert to_inch(fits.below_m) == pytest.approx(-12, abs=1e-9)
    assert to_inch(fits.above_m) == pytest.approx(4, abs=1e-9)


def test_heights_that_fit_below_a_single_course_is_none() -> None:
    """One course of 8 in with its cap carries 6 in; without it there is no wall."""
    fits = heights_that_fit(job_of(level_wall((straight(ft(40)),), inch(6))), 0)
    assert fits.below_m is None
    assert fits.above_m is not None
    assert to_inch(fits.above_m) == pytest.approx(8, abs=1e-9)


def test_heights_that_fit_go_down_to_a_single_course_and_to_the_ground() -> None:
    """14 in take two courses, one carries 6 in; it holds from there down to 0, where its top
    comes to the front grade."""
    two = heights_that_fit(job_of(level_wall((straight(ft(40)),), inch(14))), 0)
    assert two.below_m is not None
    assert to_inch(two.below_m) == pytest.approx(-8, abs=1e-9)
    one = heights_that_fit(job_of(level_wall((straight(ft(40)),), inch(6))), 0)
    assert one.least_m is not None
    assert to_inch(one.least_m) == pytest.approx(-6, abs=1e-9)


def test_heights_that_fit_are_none_where_a_wall_cant_be_so_low_or_so_high() -> None:
    """Two inches lower, the far end is below its grade; and a leg of 20 in between two outside
    corners loses 2 in with each course after the first: ten stand, an eleventh has none of it."""
    low_end = wall((straight(ft(40)),), (entry(0.0, inch(48)), entry("end", inch(1))))
    fits = heights_that_fit(job_of(low_end), 0)
    assert fits.below_m is None
    assert fits.above_m is not None
    plan = legs("outside", 90, ft(20), inch(20), ft(20))
    ten = heights_that_fit(job_of(level_wall(plan, inch(78))), 0)
    assert ten.below_m is not None
    assert ten.above_m is None
    nine = heights_that_fit(job_of(level_wall(plan, inch(70))), 0)
    assert nine.above_m is not None
    assert to_inch(nine.above_m) == pytest.approx(8, abs=1e-9)


def test_heights_that_fit_give_what_the_same_courses_carry() -> None:
    """Seven courses carry 8·7 + 4 - 6 = 54 in, six 46: from 46 1/4 to 54 in it is seven."""
    for height in (48.0, 47.3, 54.0):
        fits = heights_that_fit(job_of(level_wall((straight(ft(40)),), inch(height))), 0)
        assert fits.least_m is not None
        assert fits.most_m is not None
        assert height + to_inch(fits.least_m) == pytest.approx(46.25, abs=1e-6)
        assert height + to_inch(fits.most_m) == pytest.approx(54, abs=1e-6)


def test_heights_that_fit_keep_the_courses_at_every_place() -> None:
    """Where the base steps, the same courses are those of every run, not their number alone."""
    spec = wall(
        (straight(ft(40)),),
        (entry(0.0, inch(48)), entry("end", inch(70), inch(24))),
    )
    here = job_of(spec)
    fits = heights_that_fit(here, 0)
    (now,) = lay_out_walls(here)
    for change in (fits.least_m, fits.most_m):
        assert change is not None
        (found,) = lay_out_walls(with_wall(here, 0, raised(spec, change)))
        assert [[r.standard_units for r in c.runs] for c in found.courses] == [
            [r.standard_units for r in c.runs] for c in now.courses
        ]
