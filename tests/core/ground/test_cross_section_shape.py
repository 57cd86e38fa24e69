"""Sections between which grading ends at other things, or stone and bare ground at other courses,
are not added up as one.

Courses of 6 in, 12 in deep, base 1 ft under a front grade of 0: trench from -0.5 to 1.5 ft, floor
to 2 ft at -1 ft. `LEANING` ones set back 1 in each, course n from 0 n / 12 ft, and have stone 1 ft
wide behind them. Feet and ft2.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.spec import WallSpec
from tests.core.ground.test_cross_section import LEANING, LOWER_STONE, terrace
from tests.given.earth import FOOT_DEEP, SIX_HIGH, dig_section, dug, ground_wall, soil
from tests.given.walls import corner, ft, inch, straight, to_ft2

BANK = ground_wall(*((0, 4, 0, 0.4), (40, 4, 0, 2)), existing_slope=0.25, graded_in_front_m=ft(4))
LOW_BANK = ground_wall(*((0, 4, 0, 0.025), (40, 4, 0, 0.425)), existing_slope=0.25)
YARD = ground_wall(*((0, 1, 0, 0), (40, 3, 0, 0)), back_slope=-0.25, graded_behind_m=ft(8.2))
LOW_YARD = ground_wall(*((0, 0.25, 0, 0), (40, 1, 0, 0)), back_slope=-0.2)


@pytest.mark.parametrize(
    ("spec", "touched"),
    [
        # meets the bank at 4 E, 1.6 ft out at the start, at 4 ft 15 ft on, where grading ends
        (BANK, 15 * (1.6 + 4) / 2 + 25 * 4 + 40 * 4.2 / 0.75),
        # within the trench's 0.5 ft for 10 ft, 1.7 ft out at the end
        (LOW_BANK, 10 * 0.5 + 30 * (0.5 + 1.7) / 2 + 40 * 3.225 / 0.75),
        # falls 4:1 from the units at 1 ft to level ground: 5 ft back, at 8.2 ft 16 ft on
        (YARD, 16 * (5 + 8.2) / 2 + 24 * 8.2 + 40 * 0.5),
        # falls 5:1: within the cut's 3 ft for 8 ft, 6 ft back at the end
        (LOW_YARD, 8 * 3 + 32 * (3 + 6) / 2 + 40 * 0.5),
    ],
    ids=["in front", "in the trench", "behind", "in the cut"],
)
def test_grading_that_ends_at_different_things_is_added_up_apart(
    spec: WallSpec, touched: float
) -> None:
    """Where finished ground meets existing ground, at a stated distance, with trench or cut: which
    of them it is changes along the wall. On a bank of 4:1 at E the cut ends (3 + E) / 0.75 ft back;
    nothing is graded behind it."""
    if spec.existing_slope:
        spec = replace(spec, graded_behind_m=0.0)
    earth = dug(spec, FOOT_DEEP, SIX_HIGH, of=soil(class_="B"))
    assert to_ft2(earth.disturbed_m2) == pytest.approx(touched, rel=1e-7)


def test_bare_ground_before_a_sloping_grade_is_added_up_course_by_course() -> None:
    """Front grade rises from 0.35 ft to 0.7 ft and falls 1:2.5 outward, base at -0.5 ft. It meets
    the second course's face until it is at the joint of 0.5 ft, 120/7 ft on, and the third's from
    there; its soil lies over that joint from 0.433 ft on. Behind, from the ninth course's stone."""
    detail = dig_section(minimum=inch(10), shares=((0.0, 0.05), (0.4, 0.05)))
    spec = ground_wall(
        *((0, 4, 0.35, 2.6), (40, 4, 0.7, 2.6)),
        front_slope=0.4,
        graded_in_front_m=ft(3),
        graded_behind_m=ft(9),
    )
    earth = dug(spec, detail, LEANING, of=soil(class_="B"))
    in_front = 40 * 3 + 120 / 7 * 1 / 12 + (40 - 120 / 7) * 2 / 12
    assert to_ft2(earth.bare_m2) == pytest.approx(in_front + 40 * (9 - 2 - 8 / 12), rel=2e-5)


def test_bare_ground_behind_under_a_sloping_grade_is_added_up_course_by_course() -> None:
    """Upright cut up to 2 ft in ground that rises 1:5 from 2.6 ft, cut down behind to a back grade
    that rises as steeply and from 1.2 ft to 2.2 ft along the wall, for 9 ft: bare from the stone of
    the fifth course, of the sixth from 1.5 ft on after 12 ft, of the seventh from 2 ft on after 32
    ft. Before the wall 3 ft and to the second course."""
    plain = replace(terrace(2.6), existing_slope=0.2, back_slope=0.2)
    first, last = plain.profile
    levels = replace(first, back_grade_m=ft(1.2)), replace(last, back_grade_m=ft(2.2))
    detail = dig_section(minimum=inch(12), cut_slope=0.0)
    earth = dug(replace(plain, profile=levels), detail, LEANING, of=soil(class_="B"))
    behind = 12 * (7 - 4 / 12) + 20 * (7 - 5 / 12) + 8 * (7 - 6 / 12)
    assert to_ft2(earth.bare_m2) == pytest.approx(40 * (3 + 1 / 12) + behind, rel=2e-5)


def test_soil_over_stone_that_falls_past_a_joint_is_added_up_apart() -> None:
    """The top falls by 0.45 ft along a leg of 40 ft beside a corner, and the stone's top, 8 in
    under it, past a joint: as much is put back whether the leg is written in one part or in
    five."""
    put_back = []
    for parts in (1, 5):
        leg = [straight(ft(40 / parts))] * parts
        spec = ground_wall(
            *((0, 4.4, 0, 3), (40, 3.95, 0, 3), (50, 3.95, 0, 3)),
            plan=(*leg, corner("outside", 45), straight(ft(10))),
            graded_in_front_m=0.0,
            graded_behind_m=ft(9),
        )
        put_back.append(dug(spec, LOWER_STONE, LEANING, of=soil(class_="B")).backfill_m3)
    assert put_back[0] == pytest.approx(put_back[1], rel=1e-7)
