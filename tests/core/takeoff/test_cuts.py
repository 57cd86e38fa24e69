"""Cuts of units: ends of legs, mitres, tight curves (rule 6.8)."""

from __future__ import annotations

import math

import pytest

from service.core.job.spec import PlanPart, TurnSide
from service.core.takeoff.cuts import count_cuts
from tests.given.walls import (
    CORNER_UNIT,
    curve,
    entry,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    quarter_circle,
    straight,
    system,
    taken_off,
    wall,
)

# Legs of 252 and 117 in and a corner unit of 18 x 9 in. Odd courses: (252 - 18) / 18 = 13 and
# (117 - 9) / 18 = 6, both whole. Even courses: (252 - 9) / 18 = 13.5 and (117 - 18) / 18 = 5.5.
WHOLE_AND_HALF = (inch(252), inch(117))


def cuts_of(plan: float | tuple[PlanPart, ...]) -> tuple[int, int, int]:
    """Cuts of a plumb wall on this plan, its odd courses and its even ones."""
    layout = laid(level_wall(plan), system(setback=0.0, corner=CORNER_UNIT))
    even = len(layout.courses) // 2
    assert even >= 3
    return count_cuts(layout), len(layout.courses) - even, even


def test_count_cuts_of_a_leg_that_is_not_whole_units() -> None:
    """480 / 18 in are 26.67 units: one is cut in every course."""
    found, odd, even = cuts_of(ft(40))
    assert found == odd + even


def test_count_cuts_of_a_leg_of_whole_units() -> None:
    """540 / 18 in are 30 units: only courses 2, 4, 6, which begin with a half, have a cut."""
    found, _, even = cuts_of(ft(45))
    assert found == even


def test_count_cuts_after_corner_units() -> None:
    """The two legs have a cut each in even courses, none in odd ones; the caps have a mitre."""
    found, _, even = cuts_of(legs("outside", 90, *WHOLE_AND_HALF))
    assert found == 2 * even + 2


def test_count_cuts_of_a_leg_that_runs_on_behind_an_inside_corner() -> None:
    """(252 + 12) / 18 = 14.67 and 117 / 18 = 6.5; then 252 / 18 = 14, an even course, and
    (117 + 12) / 18 = 7.17: two a course, and the mitre of the caps."""
    found, odd, even = cuts_of(legs("inside", 90, *WHOLE_AND_HALF))
    assert found == 2 * (odd + even) + 2


def test_count_cuts_of_a_corner_that_is_not_square() -> None:
    """At 45 deg two units are cut in every course beside those at the ends of the legs."""
    found, odd, even = cuts_of(legs("outside", 45, *WHOLE_AND_HALF))
    assert found == 2 * even + 2 * (odd + even) + 2


@pytest.mark.parametrize(
    ("side", "minimum_in", "tight_from", "tight_to"),
    [
        ("outside", 240, 2, None),
        ("outside", 240.5, 1, None),
        ("inside", 240, 1, 0),
        ("inside", 240.5, 1, 1),
        ("inside", 241.5, 1, 2),
    ],
)
def test_count_cuts_of_curves_under_the_minimum_radius(
    side: TurnSide, minimum_in: float, tight_from: int, tight_to: int | None
) -> None:
    """A quarter circle of 20 ft: its face lies 1 in farther back course by course, so it is
    tighter outside and wider inside. A course under the minimum has all of its units cut, at its
    end there is one more cut in every course."""
    least = inch(minimum_in)
    blocks = system(minimum_outside_radius=least, minimum_inside_radius=least)
    layout = laid(level_wall(quarter_circle(side)), blocks)
    count = len(layout.courses)
    turn = -1 if side == "outside" else 1
    tight = range(tight_from, (count if tight_to is None else tight_to) + 1)
    units = [math.ceil((240 + turn * (course - 1)) * math.pi / 2 / 18) for course in tight]
    assert count_cuts(layout) == count + sum(units)


@pytest.mark.parametrize("high_first", [True, False])
@pytest.mark.parametrize(
    ("up_to_in", "units", "cuts"),
    [(180 + 60 * math.pi, 11, (1, 1, 1)), (90, 0, (0, 1, 0)), (180 + 120 * math.pi, 21, (1, 1, 1))],
)
def test_count_cuts_of_as_much_of_a_curve_as_a_course_covers(
    up_to_in: float, units: int, cuts: tuple[int, int, int], *, high_first: bool
) -> None:
    """Between legs of 180 in a quarter circle of 20 ft, tight in each plumb course: 120 π / 18 =
    20.94, so 21 units. The ground lies higher along a part of the wall, where three courses are
    all there is: of these four the lowest cover that part alone, 60 π / 18 = 10.47, so 11 units of
    the curve, or 90 in of a leg, or a leg and all of the curve.
    """
    plan = (straight(inch(180)), curve("outside", inch(240), 90), straight(inch(180)))
    length = inch(360) + inch(240) * math.pi / 2
    step, tops = inch(up_to_in), [inch(48)] * 2 + [inch(24)] * 2
    stations = [0.0, step, step, length]
    if not high_first:
        stations, tops = [0.0, length - step, length - step, length], tops[::-1]
    spec = wall(plan, tuple(map(entry, stations, tops)))
    blocks = system(setback=0.0, minimum_outside_radius=inch(241))
    layout = laid(spec, blocks)
    assert [course.number for course in layout.courses] == [1, 2, 3, 4, 5, 6, 7]
    # 360 + 120 π = 737 in are 40.94 units: one cut a course, behind a half in even ones too
    assert count_cuts(layout) == 4 * (1 + 21) + sum(cuts) + 3 * units


def test_count_cuts_holds_each_curve_against_the_minimum_of_its_side() -> None:
    """Quarter circles of 20 ft to either side, 240 π / 18 = 41.89 units together, one of them cut:
    where the one to the outside is too tight, 21 more a course are, and so it is inside."""
    for side in ("outside", "inside"):
        plan = (*quarter_circle("outside"), *quarter_circle("inside"))
        blocks = system(
            setback=0.0,
            minimum_outside_radius=inch(241 if side == "outside" else 100),
            minimum_inside_radius=inch(241 if side == "inside" else 100),
        )
        layout = laid(level_wall(plan), blocks)
        assert count_cuts(layout) == 7 * (1 + 21)


def test_take_off_measures_cuts_wall_by_wall() -> None:
    """Work is measured by the cuts of each wall."""
    first, second = level_wall(ft(40), name="a"), level_wall(ft(45), name="b")
    blocks = system(setback=0.0)
    found = taken_off(first, second, blocks=blocks).measured["cuts"]
    assert found == (
        ("a", float(count_cuts(laid(first, blocks)))),
        ("b", float(count_cuts(laid(second, blocks)))),
    )
    assert found[0][1] > found[1][1] > 0
