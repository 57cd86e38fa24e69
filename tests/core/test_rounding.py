"""Every rounding rule, by hand: whole numbers of things, marks and joints, shares, bounds."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import pytest

from service.core import rounding


@pytest.mark.parametrize(
    ("minutes", "share"), [("60", "1"), ("50", "0.833334"), ("45", "0.75"), ("0.00003", "0.000001")]
)
def test_worked_share_is_the_part_of_an_hour_rounded_up(minutes: str, share: str) -> None:
    """50 of 60 minutes are 0.8333333…, one millionth up."""
    assert rounding.worked_share(Decimal(minutes)) == Decimal(share)


@pytest.mark.parametrize(
    ("bound", "least", "most"),
    [("12.345", 1235, 1234), ("-12.345", -1234, -1235), ("12.34", 1234, 1234), ("0", 0, 0)],
)
def test_bound_in_minor_units_lies_inside_the_bound(bound: str, least: int, most: int) -> None:
    """The least whole cents that aren't below a bound, the most that aren't above it."""
    assert rounding.bound_in_minor_units(Decimal(bound), 2, up=True) == least
    assert rounding.bound_in_minor_units(Decimal(bound), 2, up=False) == most


@pytest.mark.parametrize(
    ("length", "units"), [(2.0, 4), (2.00002, 4), (2.00003, 5), (1.6, 4), (0.0, 0), (-1.0, 0)]
)
def test_whole_units_cover_a_length(length: float, units: int) -> None:
    """Of 0.5 m: 2 m take 4, and so does what is over by less than 0.0000254 m (rule 16.1)."""
    assert rounding.whole_units(length, 0.5) == units


@pytest.mark.parametrize(
    ("height", "courses"), [(2.0, 4), (1.99999999, 4), (1.9999999, 3), (2.3, 4), (0.7, 1), (0.1, 1)]
)
def test_whole_courses_fit_into_a_height(height: float, courses: int) -> None:
    """Of 0.5 m: 3.99999998 of a course are 4, 3.9999998 are 3, and one there is at least."""
    assert rounding.whole_courses(height, 0.5) == courses


def test_joints_lie_at_whole_courses() -> None:
    """At 0.5 m a course: from 0.9 to 2.1 m lie those at 1, 1.5 and 2 m, between 1.1 and 1.4 m
    none; one at 1.5 m but for noise is the third."""
    assert rounding.joints_between(0.9, 2.1, 0.5) == range(2, 5)
    assert rounding.joints_between(1.0, 2.0, 0.5) == range(2, 5)
    assert not rounding.joints_between(1.1, 1.4, 0.5)
    assert [rounding.nearest_joint(height, 0.5) for height in (1.4999, 1.5001)] == [3, 3]


@pytest.mark.parametrize(
    ("height", "above", "below"),
    [
        (1.0, 2, 2),
        (1.00002, 2, 2),
        (0.99998, 2, 2),
        (1.00003, 3, 2),
        (0.99997, 2, 1),
        (1.3, 3, 2),
        (-0.3, 0, -1),
    ],
)
def test_joints_beside_a_height(height: float, above: int, below: int) -> None:
    """At 0.5 m a course: a height that differs from a joint by less than 0.0000254 m is at it."""
    assert rounding.joint_at_or_above(height, 0.5) == above
    assert rounding.joint_at_or_below(height, 0.5) == below


def test_lengths_and_angles_without_float_noise_are_one() -> None:
    """What differs by a billionth is one, what differs by a tenth of a millimeter is two."""
    assert rounding.same_lengths(1.0) == rounding.same_lengths(1.0 + 1e-9)
    assert rounding.same_lengths(1.0) != rounding.same_lengths(1.0001)
    assert rounding.compared_m(1.0) == rounding.compared_m(1.0 + 1e-9)
    assert rounding.compared_m(1.0) == pytest.approx(1.0, abs=1.3e-5)
    assert rounding.compared_m(1.0001) == pytest.approx(1.0001, abs=1.3e-5)
    assert rounding.same_angles(0.1 + 0.2) == rounding.same_angles(0.3)
    assert rounding.same_angles(0.3) != rounding.same_angles(0.30000001)


@pytest.mark.parametrize(
    ("net", "waste", "pieces"),
    [
        (40.0, "0.05", 42),
        (40.1, "0.05", 43),  # 42.105
        (40.0000001, "0", 40),  # over by just a ten-millionth
        (40.00000011, "0", 41),
        (39.99999999, "0", 40),
        (39.4, "0", 40),
        (0.0, "0.05", 0),
    ],
)
def test_whole_pieces_are_rounded_up_once(net: float, waste: str, pieces: int) -> None:
    """40 with 5 % are 42 and not 43; what is over by float noise is not there."""
    assert rounding.whole_pieces(net, Decimal(waste)) == pieces


@pytest.mark.parametrize(
    ("amount", "order"),
    [
        (2.3, "2.5"),
        (2.5, "2.5"),
        (2.50000015, "2.5"),  # 5.0000003 increments: five ten-millionths may be noise
        (2.5000004, "3.0"),
        (500.00002, "500.0"),  # 1000.00004 increments
        (0.000000005, "0.0"),
        (0.000000075, "0.5"),  # 0.00000015 increments: one ten-millionth may be noise
    ],
)
def test_whole_increments_leave_out_a_ten_millionth(amount: float, order: str) -> None:
    """By halves: a count that is over by less than its ten-millionth part, or by less than one
    ten-millionth below one, is whole."""
    assert rounding.whole_increments(amount, Decimal("0.5")) == Decimal(order)


def test_whole_packs_lots_and_chunks_hold_an_amount() -> None:
    """By twelves: 36 pieces are 3 and 37 are 4; 3.00000004 are 3, 3.0000004 are 4."""
    packs = [rounding.whole_packs(pieces, 12) for pieces in (36, 37, 36.0000005, 36.000005, 35.9)]
    assert packs == [3, 4, 3, 4, 3]
    assert [rounding.whole_lots(pieces, Decimal(12)) for pieces in (0, 36, 37)] == [0, 36, 48]
    assert [rounding.whole_chunks(pieces, 12) for pieces in (0, 36, 37)] == [0, 3, 4]


@pytest.mark.parametrize(
    ("length", "cuts", "stretches"),
    [(2.0, 4, 4), (1.99998, 4, 4), (1.99997, 3, 3), (2.3, 4, 4), (0.7, 1, 1), (0.4, 0, 1)],
)
def test_whole_cuts_and_stretches_of_a_length(length: float, cuts: int, stretches: int) -> None:
    """Of 0.5 m: 2 m are four, and so is what lacks less than 0.0000254 m; a roll that is too short
    gives no piece, but there is one stretch at least."""
    assert rounding.whole_cuts(length, 0.5) == cuts
    assert rounding.whole_stretches(length, 0.5) == stretches
    assert rounding.whole_cuts(-1.0, 0.5) == 0


def test_tape_mark_is_the_nearest_up_or_down() -> None:
    """By marks of 0.5 m: 1.3 m lies between 1 and 1.5 m, and 1 m on a mark."""
    assert [rounding.tape_mark(1.3, 0.5, up=up) for up in (True, False)] == [1.5, 1.0]
    assert [rounding.tape_mark(1.0, 0.5, up=up) for up in (True, False)] == [1.0, 1.0]


@pytest.mark.parametrize(
    ("days", "begun", "day", "halves_begun", "half"),
    [
        ("0", 0, 1, 0, 0),
        ("0.25", 1, 1, 1, 0),
        ("0.5", 1, 1, 1, 1),
        ("2", 2, 3, 4, 4),
        ("2.9", 3, 3, 6, 5),
    ],
)
def test_days_are_begun_whole_or_by_halves(
    days: str, begun: int, day: int, halves_begun: int, half: int
) -> None:
    """2.9 days of work begin 3 days and 6 half days; what comes next begins on the third day, in
    its second half (half days are counted from 0)."""
    for of in (Decimal(days), Fraction(days)):
        assert rounding.days_begun(of) == begun
        assert rounding.day_number(of) == day
        assert rounding.half_days_begun(of) == halves_begun
        assert rounding.half_days_up(of) == Decimal(halves_begun) / 2
        assert rounding.half_day_number(of) == half
    assert rounding.day_of_half(half) == day - 1


def test_whole_weeks_are_those_that_some_days_hold() -> None:
    """13 days hold one week of 7, 14 hold two."""
    assert [rounding.whole_weeks(days, 7) for days in (6, 7, 13, 14)] == [0, 1, 1, 2]


@pytest.mark.parametrize(
    ("value", "step", "nearest"),
    [
        ("2.5", "1", "3"),
        ("2.49", "1", "2"),
        ("-2.5", "1", "-3"),
        ("12.3", "5", "10"),
        ("12.5", "5", "15"),
        ("0", "5", "0"),
    ],
)
def test_to_step_is_the_nearest_multiple(value: str, step: str, nearest: str) -> None:
    """Halves go away from zero."""
    for of in (Decimal(value), Fraction(value)):
        assert rounding.to_step(of, Decimal(step)) == Decimal(nearest)


def test_figures_have_the_places_of_their_kind() -> None:
    """An eighth and a two-millionth more, half up: hours, days and costs of choices to 0.01,
    margins to 0.0001, unit costs to 0.000001, percents to 0.1."""
    value = Fraction("0.1250005")
    for of in (rounding.hours, rounding.expected_days, rounding.choice_cost):
        assert of(value) == Decimal("0.13")
    assert rounding.margin(value) == Decimal("0.1250")
    assert rounding.unit_cost(value) == Decimal("0.125001")
    assert rounding.percent(0.125) == Decimal("12.5")
    assert rounding.percent(0.12555) == Decimal("12.6")


@pytest.mark.parametrize(
    ("amount", "units"), [("12.34", 1234), ("-12.34", -1234), ("0", 0), ("-12.345", -1234)]
)
def test_minor_units_are_whole_cents(amount: str, units: int) -> None:
    """What is less than a cent is cut off, above nothing and below."""
    assert rounding.minor_units(Decimal(amount), 2) == units


@pytest.mark.parametrize(
    ("cost", "places", "text"),
    [
        ("12.3000", 2, "12.30"),
        ("12.345600", 2, "12.3456"),
        ("1200", 2, "1200.00"),
        ("1200.0", 0, "1200"),
        ("0.000", 2, "0.00"),
    ],
)
def test_written_costs_have_the_places_of_their_currency(cost: str, places: int, text: str) -> None:
    """No zeros behind the last figure but those of the currency."""
    assert f"{rounding.written(Decimal(cost), places):f}" == text


@pytest.mark.parametrize(
    ("value", "down", "up"),
    [
        (1.5, "1.5", "1.5"),
        (1.49999, "1.4999", "1.5"),
        (1.4999999, "1.5", "1.5"),  # just a ten-millionth away
        (1.50000001, "1.5", "1.5"),
        (1.500001, "1.5", "1.5001"),
        (-0.00001, "-0.0001", "0"),
        (100.0, "100", "100"),
        (math.inf, None, None),
        (math.nan, None, None),
    ],
)
def test_ratio_to_show_goes_to_the_unsafe_side(
    value: float, down: str | None, up: str | None
) -> None:
    """To four decimals: down where a figure must be reached, up where it must not be exceeded."""
    assert rounding.ratio_to_show(value, up=False) == down
    assert rounding.ratio_to_show(value, up=True) == up
