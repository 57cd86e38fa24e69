"""Figures of a place in the units of a request, worked out from the exact definition of a foot."""

from __future__ import annotations

import pytest

from service.core.cautions.stated import stated, unmarked
from service.core.measure import METRIC, SHOWN_UNITS, UNITS, UNITS_OF, US, UnitSet


@pytest.mark.parametrize(
    ("text", "units", "expected"),
    [
        ("over {4 ft} high", US, "over 4 ft high"),
        ("over {48 in} high", US, "over 48 in high"),
        ("over {4 ft} high", METRIC, "over 1.2192 m (4 ft) high"),  # 4 x 0.3048
        ("over {30 in}.", METRIC, "over 0.762 m (30 in)."),  # 30 x 0.0254
        ("over {1.5 m}", METRIC, "over 1.5 m"),
        ("over {1500 mm}", METRIC, "over 1500 mm"),
        ("over {1.524 m}", US, "over 5 ft (1.524 m)"),  # 5 x 0.3048
        ("{50 yd3} moved", METRIC, "38.2277 m3 (50 yd3) moved"),  # 50 x 0.9144^3
        (
            "{100 psf} and more",
            METRIC,
            "4.78803 kPa (100 psf) and more",
        ),  # NIST SP 811: 47.88026 Pa
        ("{5 kPa} and more", US, "104.427 psf (5 kPa) and more"),  # 5000 / 47.88026
        ("{100 lb}, {2 ft}", METRIC, "45.3592 kg (100 lb), 0.6096 m (2 ft)"),
        ("call 811 in the US, at 3:1 or 70 degrees", METRIC, None),
    ],
)
def test_stated_reads_in_the_units_of_the_request(
    text: str, units: UnitSet, expected: str | None
) -> None:
    """A figure of the other units is turned into the request's, its own behind it in brackets."""
    assert stated(text, units) == (expected or text)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("over {4 ft}", None),
        ("call 811 in the US", None),
        ("{4 ft} or 1.5 m2", "1.5 m2"),
        ("over 4 ft", "4 ft"),
        ("{4 feet}", "{4 feet}"),
        ("{4ft}", "{4ft}"),
        ("{4 ft", "{4 ft"),
        ("4 ft}", "4 ft"),
    ],
)
def test_unmarked_finds_a_figure_that_would_stay_in_its_units(text: str, found: str | None) -> None:
    """A figure without braces, and braces without a figure, are found; `in` may be the word."""
    assert unmarked(text) == found


def test_units_of_has_each_unit_once() -> None:
    """Each unit belongs to one of the sets, what is only counted to none."""
    counted = {"each", "h", "day", "load"}
    us, metric = UNITS_OF["us"], UNITS_OF["metric"]
    assert not us & metric
    assert us | metric | counted == {*UNITS, *SHOWN_UNITS}
