"""Units as people write them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.core.measure import METRIC, US, in_unit, number, unit_sign, with_signs


@pytest.mark.parametrize(
    ("symbol", "sign"),
    [
        ("yd3", "yd³"),
        ("ft2", "ft²"),
        ("m3", "m³"),
        ("in2", "in²"),
        ("ft", "ft"),
        ("hour2", "hour2"),
    ],
)
def test_unit_sign_writes_powers_as_signs(symbol: str, sign: str) -> None:
    """Squares and cubes of units are written as such; whatever is no unit stays."""
    assert unit_sign(symbol) == sign


@pytest.mark.parametrize(
    ("text", "read"),
    [
        (
            "48 ft2 in plan, x 6 in = 24 ft3 = 0.89 yd3",
            "48 ft² in plan, x 6 in = 24 ft³ = 0.89 yd³",
        ),
        ("13 yd3 x 45.00 per yd3: 585.00", "13 yd³ x 45.00 per yd³: 585.00"),
        ("Cut 8.99 yd3, fill 27.5 yd3.", "Cut 8.99 yd³, fill 27.5 yd³."),
        ("2700 lb/yd3 and 1900 kg/m3", "2700 lb/yd³ and 1900 kg/m³"),
        ("2 m2\n3 cm3", "2 m²\n3 cm³"),
    ],
)
def test_with_signs_reads_figures_with_units(text: str, read: str) -> None:
    """Behind a figure, behind `per` and in a weight by volume a unit has its sign."""
    assert with_signs(text) == read


@pytest.mark.parametrize(
    "text",
    [
        'such as "450 ft2" or "2700 lb/yd3"',  # what is to be typed
        "such as `450 ft2`",
        "m2: 40 ft of wall m3",  # names of walls
        "item yd3_stone, 12 m2x, 4 ft20, 5 ft2/h",
        "12 ft and 3 yd",
    ],
)
def test_with_signs_leaves_names_and_what_is_typed(text: str) -> None:
    """What stands in quotes is typed as it stands, and a name isn't a unit."""
    assert with_signs(text) == text


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (-3.64246399e-16, "0"),  # a level that arithmetic leaves of 0
        (9.9e-13, "0"),
        (-1.5e-12, "-0.0000000000015"),
        (0.0, "0"),
        (Decimal("0.0000000000001"), "0.0000000000001"),  # exact
        (2.50, "2.5"),
        (1234567890.0, "1234567890"),
        (1 / 3, "0.333333333"),
    ],
)
def test_number_writes_plain_figures(value: float | Decimal, shown: str) -> None:
    """Nine significant digits without exponent; what arithmetic leaves of nothing is nothing."""
    assert number(value) == shown


def test_figures_are_shown_in_the_units_of_the_request() -> None:
    """A yard is 0.9144 m: 3 ft, and 36 in where inches are asked for."""
    assert in_unit(0.9144, "ft") == pytest.approx(3.0)
    assert US.show(0.9144, "length") == "3 ft"
    assert US.show(0.9144, "length", "in") == "36 in"
    assert METRIC.show(0.9144, "length") == "0.9144 m"
