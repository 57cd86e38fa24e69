"""Measures as a tape reads them, and rounding for reading alone."""

from __future__ import annotations

import pytest

from service.cli.measure_cells import measure_cells
from service.cli.pointers import fault_words, words_of
from service.operations.answer_figures import Measure
from service.operations.readable import (
    courses_text,
    detail_text,
    hours_text,
    length_text,
    lengths_read,
    measure_text,
)


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        ("40", "ft", "40 ft"),
        ("4.5", "ft", "4 ft 6 in"),
        ("3.66666667", "ft", "3 ft 8 in"),
        ("40.944", "ft", "40 ft 11 3/8 in"),
        ("0.5", "ft", "6 in"),
        ("0.01", "ft", "1/8 in"),
        ("0.999", "ft", "1 ft"),
        ("-1.25", "ft", "-1 ft 3 in"),
        ("-0.001", "ft", "0 ft"),
        ("0", "ft", "0 ft"),
        ("12.1949", "m", "12.19 m"),
        ("1.5", "m", "1.50 m"),
    ],
)
def test_length_text_reads_like_a_tape(value: str, unit: str, shown: str) -> None:
    """Feet and inches to an eighth, meters to the centimeter."""
    assert length_text(Measure(value, unit)) == shown


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        ("1.48148", "yd3", "1.5 yd3"),
        ("186.667", "ft2", "187 ft2"),
        ("0.0123", "yd3", "0.012 yd3"),
        ("0.0347222", "yd3", "0.035 yd3"),
        ("0.04", "m3", "0.04 m3"),
        ("5", "pallet", "5 pallets"),
        ("1", "pallet", "1 pallet"),
        ("0.5", "ton", "0.5 tons"),
    ],
)
def test_measure_text_rounds_for_reading(value: str, unit: str, shown: str) -> None:
    """Volumes to a tenth and areas to the foot, what is less in two digits and
    never nothing; words have their plural."""
    assert measure_text(Measure(value, unit)) == shown


def test_measure_cells_keep_what_is_priced() -> None:
    """A quantity beside a unit cost prints as priced."""
    assert measure_cells([Measure("10.39", "yd3")], exact=True) == ["10.39 yd3"]
    assert measure_cells([Measure("12.25", "ft")], exact=True) == ["12.25 ft"]
    assert measure_cells([Measure("12345.67", "yd3")], exact=True) == ["12345.67 yd3"]
    assert measure_cells([Measure("1234.567", "ton")], exact=True) == ["1234.567 tons"]


def test_detail_text_keeps_the_millimeter() -> None:
    """Details are whole millimeters in metric, feet and inches else."""
    assert detail_text(Measure("1.215", "m")) == "1215 mm"
    assert detail_text(Measure("0.5", "ft")) == "6 in"


def test_courses_text_says_at_most_of_a_stepped_wall() -> None:
    """Eleven levels, of which six lie above each other at one place."""
    assert (courses_text(7, 7), courses_text(11, 6)) == ("7", "at most 6")


@pytest.mark.parametrize(
    ("hours", "shown"), [("4.04", "4.0"), ("2.55", "2.6"), ("0.03", "0.03"), ("0.00", "0.00")]
)
def test_hours_text_rounds_to_a_tenth(hours: str, shown: str) -> None:
    """To a tenth of an hour, and never to nothing."""
    assert hours_text(hours) == shown


@pytest.mark.parametrize(
    ("said", "read"),
    [
        # 4.17 ft are 50.04 in; whole feet and loads per foot stand.
        (
            "4.17 ft at station 35.31 ft, over 4 ft, 2.5 lb/ft, 3.5 ft2",
            "4 ft 2 in at station 35 ft 3 3/4 in, over 4 ft, 2.5 lb/ft, 3.5 ft2",
        ),
        ("the top lies -1.25 ft off", "the top lies -1 ft 3 in off"),
        ("1.25678 m deep, 10 m away, 2.345 m2", "1.26 m deep, 10 m away, 2.345 m2"),
        # What was written by hand is repeated as it was written.
        ('length: "4.17 ft" is short of 5.5 ft', 'length: "4.17 ft" is short of 5 ft 6 in'),
        ("no wider than '1.234 m'", "no wider than '1.234 m'"),
        # Two lengths that differ never read alike.
        ("the plan is 40 ft long, not 40.001 ft", "the plan is 40 ft long, not 40.001 ft"),
        ("40.001 ft after 40.003 ft", "40.001 ft after 40.003 ft"),
    ],
)
def test_lengths_read_says_a_sentence_like_a_tape(said: str, read: str) -> None:
    """Feet and inches to an eighth, meters to the centimeter, where that tells what it told."""
    assert lengths_read(said) == read


@pytest.mark.parametrize(
    ("pointer", "words"),
    [
        ("/walls/0/ends/start", "wall 1, ends, start"),
        ("/walls/1/profile/2/existing_grade", "wall 2, profile entry 3, existing grade"),
        ("/walls/0/plan/2", "wall 1, plan part 3"),
        ("catalog: materials/haul_off, sold.increment", "materials, haul off, sold, increment"),
        ("rates", "rates"),
    ],
)
def test_words_of_says_a_pointer(pointer: str, words: str) -> None:
    """Places are counted from one, files without their punctuation; what is no pointer stays."""
    assert words_of(pointer) == words


@pytest.mark.parametrize(
    ("pointer", "message", "said"),
    [
        ("/walls/0/plan/0/length", "length: 24 is bare", "wall 1, plan part 1, length: 24 is bare"),
        ("/walls/0/plan/1", "plan[1]: a curve needs", "wall 1, plan part 2: a curve needs"),
        ("/titel", "titel is not known", "titel: titel is not known"),
        ("", "a list is no request", "the whole request: a list is no request"),
        ("/walls/0/top", "3.5 ft is low", "wall 1, top: 3 ft 6 in is low"),
    ],
)
def test_fault_words_say_the_place_once(pointer: str, message: str, said: str) -> None:
    """The place stands in words, not twice where the message begins with it, lengths as read."""
    assert fault_words(pointer, message) == said
    assert fault_words("", "broken", "the file") == "the file: broken"
