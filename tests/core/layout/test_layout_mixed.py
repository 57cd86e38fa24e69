"""Walls where rules meet: steps at corners, cap returns around corners, courses that stop there.

Units 18 x 8 x 12 in, setback 1 in, cap 4 in; every count by hand.
"""

from __future__ import annotations

import math

import pytest

from service.core.job.section import Pipe
from service.core.job.spec import TopRounding
from tests.given.set_walls import WITH_CORNER
from tests.given.walls import (
    after,
    cap_count,
    corners_by_course,
    curve,
    entry,
    ft,
    inch,
    laid,
    legs,
    line,
    section,
    standard_by_course,
    standard_by_leg,
    straight,
    system,
    taken_off,
    to_ft2,
    to_inch,
    wall,
)

EXACT = 1e-9
CUBIC_INCH = 0.0254**3
HALF = curve("outside", ft(20), 45)
L_OUTSIDE = legs("outside", 90, ft(20), ft(10))
# base one course higher on the second half of a quarter circle: courses -8 … 48 and 0 … 48
STEPPED_CURVE = wall(
    (HALF, HALF),
    (
        entry(0.0, inch(48)),
        entry(after(1), inch(48)),
        entry(after(1), inch(48), inch(8)),
        entry("end", inch(48), inch(8)),
    ),
)


def test_lay_out_turns_corner_units_about_by_course_number() -> None:
    """Where the base steps up at a corner, the first course there is still number 2: face on B."""
    # base -12 on A, -4 on B (front grade 8, at or below 2 is -4): course 1 on A alone,
    # A at k = 0: 240/18 = 13.33 -> 14; k = 1: A (239 - 9)/18 = 12.78, B (119 - 18)/18 = 5.61;
    # k = 2: A (238 - 18)/18 = 12.22, B (118 - 9)/18 = 6.06
    profile = (
        entry(0.0, inch(48)),
        entry(ft(20), inch(48)),
        entry(ft(20), inch(48), inch(8)),
        entry("end", inch(48), inch(8)),
    )
    found = laid(wall(L_OUTSIDE, profile), WITH_CORNER)
    assert corners_by_course(found) == [0, 1, 1, 1, 1, 1, 1]
    assert standard_by_leg(found)[:3] == [(14,), (13, 6), (13, 7)]
    assert [leg.corner_units for leg in found.courses[1].runs[0].legs] == [0, 1]
    assert [leg.corner_units for leg in found.courses[2].runs[0].legs] == [1, 0]


def test_lay_out_runs_on_behind_an_inside_corner_only_with_both_legs() -> None:
    """A course that ends at an inside corner doesn't run on: 246/18 = 13.67 -> 14, not 15."""
    profile = (
        entry(0.0, inch(48)),
        entry(ft(20), inch(48)),
        entry(ft(20), inch(40)),
        entry("end", inch(40)),
    )
    found = laid(wall(legs("inside", 90, ft(20), ft(10)), profile))
    assert standard_by_leg(found)[6] == (14,)
    assert to_inch(found.courses[6].runs[0].face_length_m) == pytest.approx(246, rel=EXACT)


def test_lay_out_adds_a_cap_return_to_the_leg_where_the_top_changes() -> None:
    """A high run around a corner: 234/18 = 13 and (54 + 12)/18 = 3.67 -> 4; low 60/18 -> 4."""
    profile = (
        entry(0.0, inch(48)),
        entry(ft(25), inch(48)),
        entry(ft(25), inch(40)),
        entry("end", inch(40)),
    )
    found = laid(wall(L_OUTSIDE, profile), WITH_CORNER)
    assert [run.units for run in found.caps] == [13 + 4, 4]
    assert [to_inch(run.length_m) for run in found.caps] == pytest.approx([300, 60], rel=EXACT)


def test_lay_out_takes_each_cap_run_on_its_own_top_course() -> None:
    """On a curve the lower cap run lies one setback less far back than the higher one."""
    # 234·π/4 + 12 = 195.78/18 = 10.88; 235·π/4 = 184.57/18 = 10.25
    profile = (
        entry(0.0, inch(48)),
        entry(after(1), inch(48)),
        entry(after(1), inch(40)),
        entry("end", inch(40)),
    )
    found = laid(wall((HALF, HALF), profile))
    assert [to_inch(run.length_m) for run in found.caps] == pytest.approx(
        [234 * math.pi / 4 + 12, 235 * math.pi / 4], rel=EXACT
    )
    assert [run.units for run in found.caps] == [11, 11]


@pytest.mark.parametrize(
    ("rounding", "lengths"),
    [
        # top less cap 20 … 44 over 240 in: joints 28, 36, 44 from 0, 80, 160 in
        ("up", [80, 92, 92]),
        # joints 20, 28, 36 from 0, 80, 160 in
        ("down", [80, 92, 92]),
    ],
)
def test_lay_out_caps_a_sloped_top_in_steps(rounding: TopRounding, lengths: list[float]) -> None:
    """Each step of a sloped top shows a return: 80/18 -> 5, 92/18 = 5.11 -> 6, 6."""
    spec = wall(
        (straight(ft(20)),),
        (entry(0.0, ft(2)), entry("end", ft(4))),
        top_rounding=rounding,
    )
    found = laid(spec)
    assert [to_inch(run.length_m) for run in found.caps] == pytest.approx(lengths, rel=EXACT)
    assert cap_count(found) == 17


def test_lay_out_measures_wall_height_where_base_and_top_stand_together() -> None:
    """The highest wall is the most from base to top at one place, no extremes of two places."""
    # left: base -12, top 36 + cap 4: 52 in; right: front 24, base 12, top 44 + cap: 36 in
    profile = (
        entry(0.0, inch(40)),
        entry(ft(10), inch(40)),
        entry(ft(10), inch(48), inch(24)),
        entry("end", inch(48), inch(24)),
    )
    found = laid(wall((straight(ft(20)),), profile))
    assert to_inch(found.max_wall_height_m) == pytest.approx(52, rel=EXACT)
    assert to_inch(found.max_exposed_m) == pytest.approx(40, rel=EXACT)
    # pay face 10 ft of 52 in and 10 ft of 36 in
    assert to_ft2(found.pay_face_area_m2) == pytest.approx(880 / 12, rel=EXACT)


def test_lay_out_counts_a_step_that_is_no_whole_unit_run_by_run() -> None:
    """A base step 50 in along: its lower course has 50/18 = 2.78 -> 3 units."""
    # front 0, then 8: base -12 and -4; courses above of 240 in: 14 each
    profile = (
        entry(0.0, inch(48)),
        entry(inch(50), inch(48)),
        entry(inch(50), inch(48), inch(8)),
        entry("end", inch(48), inch(8)),
    )
    found = laid(wall((straight(ft(20)),), profile))
    assert standard_by_course(found) == [3, 14, 14, 14, 14, 14, 14]


def test_take_off_stone_of_a_stepped_base_on_a_curve() -> None:
    """Both halves step back course by course, counted from the lowest course of the wall."""
    # π/8·((228 - k)² - (216 - k)²)·8 in³ for k = 0 … 6, and for k = 1 … 6
    found = taken_off(STEPPED_CURVE, blocks=system(cap=None), detail=section(stops_below_top=0.0))
    annuli = [(228 - k) ** 2 - (216 - k) ** 2 for k in range(7)]
    expected = math.pi / 8 * (sum(annuli) + sum(annuli[1:])) * 8
    assert line(found, "drain_stone").net == pytest.approx(expected * CUBIC_INCH, rel=EXACT)


def test_take_off_pipe_of_a_stepped_base_on_a_curve() -> None:
    """Pipe lies at the rear of the base course there: 228·π/4 and 227·π/4 in."""
    pipe = Pipe(
        item="drain_pipe",
        outlet_item="outlet_pipe",
        outlet_spacing_m=ft(50),
        outlet_length_m=ft(4),
    )
    found = taken_off(STEPPED_CURVE, blocks=system(cap=None), detail=section(pipe=pipe))
    assert line(found, "drain_pipe").net == pytest.approx(inch(455) * math.pi / 4, rel=EXACT)
