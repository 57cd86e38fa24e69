"""On which joints layers lie, by hand: units 8 in high and 12 in deep."""

from __future__ import annotations

from dataclasses import replace

from service.core.screening.layers import rows_at, rows_of, widest_step
from tests.given.basis import ASSOCIATION
from tests.given.walls import inch

COURSE, DEPTH = inch(8), inch(12)
WIDE = replace(ASSOCIATION.layers, spacing_m=inch(24), top_depths=None, top_most_m=None)
NARROW = replace(WIDE, spacing_m=inch(8))


def test_widest_step_is_the_smaller_of_spacing_and_unit_depths() -> None:
    """24 in and two depths are three courses; two depths of 8 in are two."""
    assert widest_step(WIDE, COURSE, DEPTH) == 3
    assert widest_step(WIDE, COURSE, inch(8)) == 2
    assert widest_step(NARROW, COURSE, DEPTH) == 1


def test_rows_begin_over_the_lowest_course() -> None:
    """Three courses apart, from joint 1 on, below the top joint."""
    assert rows_of(0, 8, 3) == (1, 4, 7)
    assert rows_of(0, 7, 3) == (1, 4)


def test_rows_at_the_top_reach_the_last_joint_that_holds_a_sheet() -> None:
    """The row on the last joint stays."""
    assert rows_at((1, 4, 7), 0, 8, 7, WIDE, COURSE, DEPTH) == (1, 4, 7)


def test_rows_at_fill_a_gap_below_the_top() -> None:
    """Under 8 courses the uppermost row may lie 3 courses down, at joint 5: 4 is too low."""
    assert rows_at((1, 4), 0, 8, 6, WIDE, COURSE, DEPTH) == (1, 4, 5)


def test_rows_at_never_lie_over_the_last_joint_that_holds_a_sheet() -> None:
    """Joint 7 is due, a course under the top, but soil ends over joint 5: the row lies there."""
    assert rows_at((1, 2, 3, 4), 0, 8, 5, NARROW, COURSE, DEPTH) == (1, 2, 3, 4, 5)


def test_rows_at_a_raised_base_start_over_its_lowest_course() -> None:
    """16 in free over joint 2, 24 in over joint 4, are more than a depth of 12: a row fills it."""
    assert rows_at((1, 4, 7), 2, 9, 8, WIDE, COURSE, DEPTH) == (3, 4, 7)
    assert rows_at((1, 4, 7), 4, 9, 8, WIDE, COURSE, DEPTH) == (5, 7)


def test_rows_at_a_raised_base_start_within_what_the_basis_allows() -> None:
    """Units 20 in deep: 16 in free over joint 2 are within the 16 in of the basis, 24 in over
    joint 1 are not; 16 in are too many where it allows 15.9."""
    deep, rules = inch(20), replace(WIDE, first_most_m=inch(16))
    assert rows_at((1, 4, 7), 2, 9, 8, rules, COURSE, deep) == (4, 7)
    assert rows_at((4, 7), 1, 9, 8, rules, COURSE, deep) == (2, 4, 7)
    less = replace(rules, first_most_m=inch(15.9))
    assert rows_at((1, 4, 7), 2, 9, 8, less, COURSE, deep) == (3, 4, 7)
    assert rows_at((1, 4, 7), 2, 9, 8, replace(WIDE, first_most_m=None), COURSE, deep) == (4, 7)


def test_rows_at_the_top_lie_as_near_to_it_as_the_basis_asks() -> None:
    """Under joint 10: three courses by the spacing of 24 in, two by 1.5 depths of 12 in or by 16 in
    from the top; of several the least."""
    for rules, rows in (
        (WIDE, (1, 4, 7)),
        (replace(WIDE, top_depths=1.5), (1, 4, 7, 8)),
        (replace(WIDE, top_most_m=inch(16)), (1, 4, 7, 8)),
        (replace(WIDE, top_depths=1.5, top_most_m=inch(8)), (1, 4, 7, 9)),
        (replace(WIDE, top_depths=9.0, top_most_m=inch(90)), (1, 4, 7)),
    ):
        assert rows_at((1, 4, 7), 0, 10, 9, rules, COURSE, DEPTH) == rows


def test_rows_at_one_course_are_none() -> None:
    """It has no joint to lay a sheet on."""
    assert rows_at((1, 4), 0, 1, 0, WIDE, COURSE, DEPTH) == ()
