"""The strict reader of measurements, slopes and sold amounts."""

from __future__ import annotations

import math
import subprocess
import sys
import tomllib
from collections.abc import Mapping
from decimal import Decimal, localcontext
from fractions import Fraction
from itertools import count
from pathlib import Path
from typing import Any

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.core.measure import SHOWN_UNITS, UNITS
from service.units import (
    DIMENSIONS,
    EXAMPLES,
    MeasureDimension,
    MeasurementInvalidError,
    measure_pattern,
    parse_measure,
    parse_slope,
    publish_measure,
    read_amount,
    read_units,
)
from service.units.factor import FACTORS, factor, worked_out
from service.units.symbols import READ
from tests.given.work import least_work
from tests.write_factors import factors_text

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

REFERENCE = tomllib.loads(
    (Path(__file__).parent / "reference" / "conversions.toml").read_text(encoding="utf-8"),
    parse_float=Decimal,
)

# Exact values by definition, as fractions: nothing here comes from the code under test.
_FT, _LB, _G = Fraction(3048, 10000), Fraction(45359237, 10**8), Fraction(980665, 10**5)
_LINEAR = {
    "in": _FT / 12,
    "ft": _FT,
    "yd": 3 * _FT,
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
}
EXACT: dict[MeasureDimension, dict[str, Fraction]] = {
    "length": _LINEAR,
    "area": {f"{symbol}2": factor**2 for symbol, factor in _LINEAR.items()},
    "volume": {f"{symbol}3": factor**3 for symbol, factor in _LINEAR.items()},
    "mass": {"lb": _LB, "ton": 2000 * _LB, "kg": Fraction(1), "t": Fraction(1000)},
    "density": {
        "pcf": _LB / _FT**3,
        "lb/ft3": _LB / _FT**3,
        "lb/yd3": _LB / (3 * _FT) ** 3,
        "ton/yd3": 2000 * _LB / (3 * _FT) ** 3,
        "kg/m3": Fraction(1),
    },
    "pressure": {"psf": _LB * _G / _FT**2, "kPa": Fraction(1000), "kN/m2": Fraction(1000)},
    "unit_weight": {"pcf": _LB * _G / _FT**3, "kN/m3": Fraction(1000)},
    "force_per_length": {"lb/ft": _LB * _G / _FT, "kN/m": Fraction(1000)},
}
EXACT_PAIRS = [
    (dimension, symbol, factor)
    for dimension, factors in EXACT.items()
    for symbol, factor in factors.items()
]


HUGE = 10**5000


def _id(value: object) -> str:
    """Names a case; a number of 5,000 digits has no text in Python."""
    huge = value == HUGE or (isinstance(value, dict) and value.get("value") == HUGE)
    return f"huge-{type(value).__name__}" if huge else ascii(value)[:70]


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("4 ft 6 in", "length", 1.3716),
        ("1.2 m", "length", 1.2),
        ("8 in", "length", 0.2032),
        ("40 in", "length", 1.016),
        ("7 1/8 in", "length", 0.180975),
        ("3/4 in", "length", 0.01905),
        ("4 ft 6 1/2 in", "length", 1.3843),
        ("4 ft 1/2 in", "length", 1.2319),
        ("4 ft 6.5 in", "length", 1.3843),
        ("-2 ft", "length", -0.6096),
        ("-1 ft 6 in", "length", -0.4572),
        ("0 ft", "length", 0.0),
        ("100 psf", "pressure", 4788.025898033584),
        ("0.15 ft3", "volume", 0.0042475269888),
        ("1 ft2", "area", 0.09290304),
        ("105 lb", "mass", 47.62719885),
        ("0.5 ton", "mass", 453.59237),
        ("1900 kg/m3", "density", 1900.0),
        ("90 deg", "angle", math.pi / 2),
    ],
)
def test_parse_measure_reads_each_form(
    text: str, dimension: MeasureDimension, expected: float
) -> None:
    """Each form has its SI value, and a minus holds for the whole."""
    assert parse_measure(text, dimension) == expected


def test_parse_measure_has_no_negative_zero() -> None:
    """Minus nothing is nothing: it would print as -0."""
    assert math.copysign(1.0, parse_measure("-0 ft", "length")) == 1.0
    pair = {"value": Decimal("-0.0"), "unit": "ft"}
    assert math.copysign(1.0, parse_measure(pair, "length")) == 1.0


@pytest.mark.parametrize("value", [Decimal("1.2"), 1.2, "1.2", "1.20"], ids=_id)
def test_parse_measure_reads_value_and_unit(value: object) -> None:
    """A pair may hold a number or the text that came out."""
    assert parse_measure({"value": value, "unit": "m"}, "length") == 1.2


def test_parse_measure_reads_pairs_with_whole_and_negative_numbers() -> None:
    """Pairs hold whole numbers and signs as well."""
    assert parse_measure({"value": 3, "unit": "ft"}, "length") == 0.9144
    assert parse_measure({"value": Decimal(-3), "unit": "ft"}, "length") == -0.9144


WRONG_WITHOUT_AN_ERROR = {
    "decimal comma": "1,5 m",
    "feet and inches as marks": "4' 6\"",
    "underscore": "1_000 ft",
    "thousands comma": "1,000 ft",
    "zero-width space": "4\u200bft",
    "zero-width space and space": "4\u200b ft",
    "prefix on inches": "5 kin",
    "prefix on feet": "5 yft",
    "not a number": "nan",
    "not a number with a unit": "nan m",
    "infinity": "inf",
    "infinity with a unit": "inf m",
    "overflow": "1e400",
    "overflow with a unit": "1e400 m",
    "unit alone": "ft",
    "newline at the end": "4 ft\n",
    "space at the end": "4 ft ",
    "space at the start": " 4 ft",
    "two spaces": "4  ft",
    "no space": "4ft",
    "tab": "4\tft",
    "no-break space": "4\u00a0ft",
    "plus": "+4 ft",
    "true minus": "\u22124 ft",
    "digits of another script": "\u0661\u0662 ft",
    "exponent": "1e3 ft",
    "no digit before the point": ".5 ft",
    "no digit after the point": "5. ft",
    "twelve inches": "4 ft 12 in",
    "feet with a fraction before inches": "4.5 ft 6 in",
    "minus inside": "4 ft -6 in",
    "improper fraction": "5/4 in",
    "improper fraction of another base": "64/64 in",
    "fraction that no tape has": "1/3 in",
    "division by zero": "1/0 in",
    "product of units": "4 ft*in",
    "capital unit": "4 FT",
    "bare number as text": "12",
    "empty": "",
    "null character": "4 ft\0",
    "thirteen digits": "1234567890123 mm",
    "thirteen places": "0.1234567890123 m",
    "temperature": "20 degC",
}
NUMBERS = count(10_000)  # none of them twice
SLOW = {
    "tower of powers": "9**9**9",
    "tower of powers with a unit": "9**9**9 m",
    "smaller tower": "9**9**7",
    "100,000 digits": "9" * 100_000,
    "20,000 digits with a unit": "9" * 20_000 + " m",
    "16,000 letters": "a" * 16_000,
    "5,000 parentheses": "(" * 5_000,
    "100 KB of spaces": " " * 100_000,
    "almost a measurement, repeated": "1 ft " * 8,
}


@pytest.mark.parametrize(
    "text", (WRONG_WITHOUT_AN_ERROR | SLOW).values(), ids=(WRONG_WITHOUT_AN_ERROR | SLOW).keys()
)
def test_parse_measure_refuses_at_once(text: str) -> None:
    """What a lenient parser would misread or choke on is refused in less time than a thousand
    measurements take to read."""

    def refuse() -> None:
        for dimension in DIMENSIONS:
            with pytest.raises(MeasurementInvalidError):
                parse_measure(text, dimension)

    assert least_work(refuse) < least_work(lambda: read_new(1000))


def read_new(count: int) -> None:
    """Read so many measurements that were never read before."""
    for _ in range(count):
        parse_measure(f"{next(NUMBERS)}.25 ft", "length")


@pytest.mark.parametrize("number", [12, 0, -3, 1.5, Decimal("1.5"), HUGE, "12"], ids=_id)
def test_parse_measure_shows_the_form_for_bare_numbers(number: object) -> None:
    """A bare number is refused with a message that shows the form."""
    with pytest.raises(MeasurementInvalidError) as caught:
        parse_measure(number, "length")
    assert '"4 ft 6 in"' in caught.value.message
    assert "unit" in caught.value.message
    assert "in ft yd mm cm m" in caught.value.hint


@pytest.mark.parametrize(
    "value",
    [
        None,
        True,
        [],
        ["4 ft"],
        {},
        {"value": 1},
        {"unit": "m"},
        {"value": 1, "unit": "m", "more": 1},
        {"value": True, "unit": "m"},
        {"value": None, "unit": "m"},
        {"value": [1], "unit": "m"},
        {"value": "1e3", "unit": "m"},
        {"value": "9" * 100_000, "unit": "m"},
        {"value": "1 ", "unit": "m"},
        {"value": math.nan, "unit": "m"},
        {"value": math.inf, "unit": "m"},
        {"value": Decimal("NaN"), "unit": "m"},
        {"value": Decimal("-Infinity"), "unit": "m"},
        {"value": Decimal("1E+999999"), "unit": "m"},
        {"value": Decimal("0E+999999"), "unit": "m"},
        {"value": Decimal("1E-999999"), "unit": "m"},
        {"value": 10**12, "unit": "mm"},
        {"value": HUGE, "unit": "m"},
        {"value": 1, "unit": "lb"},
        {"value": 1, "unit": ["m"]},
        {"value": 1, "unit": "m\n"},
        {"value": 1, "unit": None},
    ],
    ids=_id,
)
def test_parse_measure_refuses_other_shapes(value: object) -> None:
    """Everything that is no text and no sound pair is refused as a measurement error."""
    with pytest.raises(MeasurementInvalidError):
        parse_measure(value, "length")


def test_parse_measure_refuses_what_nobody_builds() -> None:
    """Magnitudes beyond 1e9 SI units are refused, with what was found."""
    with pytest.raises(MeasurementInvalidError, match='"999999999999 yd" is larger'):
        parse_measure("999999999999 yd", "length")


def test_parse_measure_tells_another_dimension() -> None:
    """A sound measurement of another kind is called what it is."""
    with pytest.raises(MeasurementInvalidError, match="is a mass, not a length"):
        parse_measure("5 lb", "length")


def test_parse_measure_shortens_what_was_found() -> None:
    """Messages carry at most an excerpt of what came in, and nothing that can't be printed."""
    for text in ("x" * 100_000, "\ud800" * 30, "\x1b[31m", "\u202e4 ft"):
        with pytest.raises(MeasurementInvalidError) as caught:
            parse_measure(text, "length")
        message = caught.value.message
        assert len(message) < 250
        assert message.encode("utf-8").decode("utf-8").isprintable()


def test_parse_measure_reads_pcf_by_what_is_asked() -> None:
    """As a density pcf is mass per volume, as a unit weight force per volume."""
    mass, force = parse_measure("120 pcf", "density"), parse_measure("120 pcf", "unit_weight")
    assert mass == pytest.approx(1922.2156, abs=1e-4)
    assert force == pytest.approx(18850.4957, abs=1e-4)
    assert force / mass == pytest.approx(9.80665, rel=1e-15)


@pytest.mark.parametrize(("dimension", "symbol", "factor"), EXACT_PAIRS)
@given(data=st.data())
def test_parse_measure_gives_the_nearest_float(
    dimension: MeasureDimension, symbol: str, factor: Fraction, data: st.DataObject
) -> None:
    """The result is the float nearest to the exact value, by fractions."""
    figure = data.draw(st.from_regex(r"(0|[1-9][0-9]{0,4})(\.[0-9]{1,12})?", fullmatch=True))
    assert parse_measure(f"{figure} {symbol}", dimension) == float(Fraction(figure) * factor)


@given(
    feet=st.integers(0, 99999),
    inches=st.integers(0, 11),
    sixty_fourths=st.integers(1, 63),
    negative=st.booleans(),
)
def test_parse_measure_adds_feet_inches_and_fraction_exactly(
    feet: int, inches: int, sixty_fourths: int, *, negative: bool
) -> None:
    """Feet, inches and a tape's fraction add up exactly under one sign."""
    part = Fraction(sixty_fourths, 64)
    text = f"{'-' if negative else ''}{feet} ft {inches} {part} in"
    exact = (feet * 12 + inches + part) * _FT / 12
    assert parse_measure(text, "length") == float(-exact if negative else exact)


def test_read_units_is_the_closed_list() -> None:
    """The units that are read are those of this list, no more."""
    assert read_units("length") == ("in", "ft", "yd", "mm", "cm", "m")
    assert read_units("area") == ("in2", "ft2", "yd2", "mm2", "cm2", "m2")
    assert read_units("volume") == ("in3", "ft3", "yd3", "mm3", "cm3", "m3")
    assert read_units("mass") == ("lb", "ton", "kg", "t")
    assert set(read_units("density")) == {"pcf", "kg/m3", "lb/ft3", "lb/yd3", "ton/yd3"}
    assert set(read_units("pressure")) == {"psf", "kPa", "kN/m2"}
    assert set(read_units("unit_weight")) == {"pcf", "kN/m3"}
    assert set(read_units("force_per_length")) == {"lb/ft", "kN/m"}
    assert read_units("angle") == ("deg",)


def test_parse_measure_agrees_with_the_core_s_factors() -> None:
    """The core's own factors, by which things are sold, are those of the unit library."""
    checked = 0
    for dimension in DIMENSIONS:
        for symbol in set(read_units(dimension)) & set(UNITS):
            assert parse_measure(f"1 {symbol}", dimension) == float(UNITS[symbol].si)
            checked += 1
    assert checked == 17
    shown = 0
    for dimension in DIMENSIONS:
        for symbol in set(read_units(dimension)) & set(SHOWN_UNITS):
            si = float(SHOWN_UNITS[symbol].si)
            assert parse_measure(f"1 {symbol}", dimension) == pytest.approx(si)
            shown += 1
    assert shown == len(SHOWN_UNITS)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_parse_measure_reads_its_own_examples(dimension: MeasureDimension) -> None:
    """What messages show as the right form is right."""
    for shown in EXAMPLES[dimension]:
        assert parse_measure(shown, dimension) > 0


@pytest.mark.parametrize(
    "row", REFERENCE["conversion"], ids=lambda row: f"{row['from']} to {row['to']}"
)
def test_parse_measure_converts_by_the_reference_table(row: Mapping[str, Any]) -> None:
    """Factors are those of the definitions; units that mislead are not read at all."""
    if not row.get("read", True):
        with pytest.raises(MeasurementInvalidError):
            parse_measure(f"1 {row['from']}", row["dimension"])
        return
    one = parse_measure(f"1 {row['from']}", row["dimension"])
    factor = one / parse_measure(f"1 {row['to']}", row["dimension"])
    expected = float(row["factor"])
    if row.get("exact", False):
        assert factor == expected
    else:
        assert factor == pytest.approx(expected, rel=0.5 * 10.0 ** (2 - row["digits"]))


@pytest.mark.parametrize("row", REFERENCE["check"], ids=lambda row: str(row["given"]))
def test_parse_measure_meets_the_reference_checks(row: Mapping[str, Any]) -> None:
    """Values of tests/reference/conversions.toml: check, the short ton and the foot included."""
    si = parse_measure(row["given"], row["dimension"])
    assert abs(si - float(row["si"])) <= float(row["tolerance"])


def test_parse_measure_keeps_the_kinds_of_ton_apart() -> None:
    """A short ton taken for a metric one would be 10.2 % off."""
    ratio = parse_measure("1 t", "mass") / parse_measure("1 ton", "mass")
    assert ratio == pytest.approx(1.102, abs=0.0005)


# A second recogniser, written by hand, character by character, without patterns.


def _recognise(text: str) -> Fraction | None:
    """Exact value in meters of a length, or None: the grammar once more, another way."""
    if len(text) > 40:
        return None
    negative = text.startswith("-")
    words = (text[1:] if negative else text).split(" ")
    size = _recognise_words(words)
    return None if size is None else (-size if negative else size)


def _recognise_words(words: list[str]) -> Fraction | None:
    if len(words) >= 4 and words[1] == "ft" and words[-1] == "in" and _is_whole(words[0]):
        inches = _recognise_inches(words[2:-1])
        return None if inches is None else (int(words[0]) * 12 + inches) * _FT / 12
    unit = _LINEAR.get(words[-1])
    if unit is None or len(words) not in {2, 3}:
        return None
    tape = _tape(words[-2]) if words[-1] in {"in", "ft", "yd"} else None
    if len(words) == 3:
        return (int(words[0]) + tape) * unit if _is_whole(words[0]) and tape else None
    if tape is not None:
        return tape * unit
    return Fraction(words[0]) * unit if _is_decimal(words[0]) else None


def _recognise_inches(words: list[str]) -> Fraction | None:
    whole = words[0].partition(".")[0]
    under_twelve = whole in {str(number) for number in range(12)}
    if len(words) == 2:
        tape = _tape(words[1])
        return int(words[0]) + tape if under_twelve and whole == words[0] and tape else None
    if len(words) == 1 and (tape := _tape(words[0])) is not None:
        return tape
    return (
        Fraction(words[0]) if len(words) == 1 and under_twelve and _is_decimal(words[0]) else None
    )


def _tape(word: str) -> Fraction | None:
    top, slash, bottom = word.partition("/")
    if not slash or bottom not in {"2", "4", "8", "16", "32", "64"}:
        return None
    if not _is_whole(top) or top.startswith("0") or int(top) >= int(bottom):
        return None
    return Fraction(int(top), int(bottom))


def _is_whole(word: str) -> bool:
    return 1 <= len(word) <= 12 and all(character in "0123456789" for character in word)


def _is_decimal(word: str) -> bool:
    whole, point, rest = word.partition(".")
    return _is_whole(whole) and (not point or _is_whole(rest))


_WORDS = ("4", "0", "11", "12", "6.5", "007", "1/2", "3/4", "5/4", "2/8", "1/3", "64/64", "63/64")
_MORE_WORDS = (
    "ft",
    "in",
    "m",
    "mm",
    "yd",
    "lb",
    "-",
    "-2",
    "1.",
    ".5",
    "",
    "1e3",
    "1_0",
    "ft\n",
    "½",
)
ALMOST = st.one_of(
    st.lists(st.sampled_from(_WORDS + _MORE_WORDS), max_size=6).map(" ".join),
    st.from_regex(measure_pattern("length"), fullmatch=True),
    st.text(alphabet="0123456789./- ftinmydc\n", max_size=45),
    st.text(max_size=45),
)


@given(text=ALMOST)
@example(text="-0 1/2 in")
@example(text="2/8 in")
def test_parse_measure_agrees_with_a_second_recogniser(text: str) -> None:
    """A hand-written recogniser accepts the same texts and finds the same values."""
    exact = _recognise(text)
    try:
        size: float | None = parse_measure(text, "length")
    except MeasurementInvalidError:
        size = None
    if exact is not None and abs(exact) > 10**9:
        exact = None
    assert size == (None if exact is None else float(exact))


@given(value=st.recursive(st.none() | st.integers() | st.floats() | st.text(), st.lists))
def test_parse_measure_raises_nothing_else(value: object) -> None:
    """Whatever comes in, the only error is the one for measurements."""
    for dimension in DIMENSIONS:
        try:
            size = parse_measure({"value": value, "unit": "m"}, dimension)
        except MeasurementInvalidError:
            continue
        assert math.isfinite(size)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("3:1", 1 / 3),
        ("-3:1", -1 / 3),
        ("1.5:1", 2 / 3),
        ("1:1", 1.0),
        ("12 deg", 0.2125565616700221),
        ("45 deg", 1.0),
        ("-45 deg", -1.0),
        ("0 deg", 0.0),
        ("20 %", 0.2),
        ("-20 %", -0.2),
        ("level", 0.0),
    ],
)
def test_parse_slope_is_rise_over_run(text: str, expected: float) -> None:
    """Each form gives rise over run; a leading minus turns it round."""
    assert parse_slope(text) == pytest.approx(expected, rel=1e-14, abs=0.0)


def test_parse_slope_reads_one_slope_alike() -> None:
    """45 degrees, 1:1 and 100 per cent are one slope, so that no table row is missed by a bit."""
    assert parse_slope("45 deg") == parse_slope("1:1") == parse_slope("100 %")


@pytest.mark.parametrize(
    "value",
    [
        *("3:0", "0:1", "0:0", "0.0:1", "90 deg", "120 deg", "89.9999999 deg", "-level", "--3:1"),
        *("20%", "20 % ", "3 : 1", "3:-1", "+3:1", "3/1", "1:3:1", "level\n", "LEVEL", "", "flat"),
        *("1e3 %", "nan %", "9**9 %", "3", "٣:1", "1" * 100_000, "0.33", "4 ft"),
        *(3, 0.33, Decimal("0.33"), True, None, [], {"value": 12, "unit": "deg"}),
    ],
    ids=_id,
)
def test_parse_slope_refuses_the_rest(value: object) -> None:
    """Vertical, ambiguous and bare slopes are refused, with the forms in the message."""
    with pytest.raises(MeasurementInvalidError, match='"3:1"'):
        parse_slope(value)


def test_read_amount_keeps_the_sold_unit() -> None:
    """A sold amount stays an exact decimal in the unit in which it is sold."""
    assert read_amount("0.5 ton") == (Decimal("0.5"), UNITS["ton"])
    assert read_amount("50 ft") == (Decimal(50), UNITS["ft"])
    assert read_amount({"value": "12", "unit": "each"}) == (Decimal(12), UNITS["each"])


@pytest.mark.parametrize(
    "value",
    ["-1 ft", "1", "1 psf", "4 ft 6 in", 3, {"value": 1, "unit": ["ft"]}, {"value": 1}, ""],
    ids=_id,
)
def test_read_amount_refuses_the_rest(value: object) -> None:
    """Negative, bare and composed amounts are refused."""
    with pytest.raises(MeasurementInvalidError, match="amount with a unit"):
        read_amount(value)


def test_publish_measure_gives_value_and_unit() -> None:
    """A measurement comes out as text and unit, without trailing zeros."""
    assert publish_measure(3.81, "length", "ft") == {"value": "12.5", "unit": "ft"}
    assert publish_measure(0.0, "pressure", "psf") == {"value": "0", "unit": "psf"}
    assert publish_measure(18850.495661549543, "unit_weight", "pcf")["value"] == "120"


@given(value=st.floats(-1e6, 1e6).filter(lambda value: value == 0 or abs(value) > 1e-3))
def test_publish_measure_is_read_again(value: float) -> None:
    """What comes out may be sent in again and is the same to nine digits."""
    again = parse_measure(publish_measure(value, "length", "ft"), "length")
    assert again == pytest.approx(value, rel=1e-8)


@pytest.fixture(scope="module")
def own_registry() -> pint.UnitRegistry[Any]:
    """Pint with the definitions that it comes with."""
    with localcontext(prec=100):
        return pint.UnitRegistry(cache_folder=None, non_int_type=Decimal)


@pytest.mark.parametrize(
    ("dimension", "symbol"), [(each, symbol) for each in DIMENSIONS for symbol in READ[each]]
)
def test_factor_is_what_pints_own_definitions_give(
    own_registry: pint.UnitRegistry[Any], dimension: MeasureDimension, symbol: str
) -> None:
    """Our short list of definitions says of every unit that is read what Pint's own list says, to
    40 digits."""
    si = {
        "length": "m", "area": "m2", "volume": "m3", "mass": "kg", "density": "kg/m3",
        "pressure": "Pa", "unit_weight": "N/m3", "force_per_length": "N/m", "angle": "rad",
    }  # fmt: skip
    wanted = si[dimension].replace("2", "**2").replace("3", "**3")
    with localcontext(prec=100):
        parts = {name: Decimal(power) for name, power in READ[dimension][symbol]}
        unit = own_registry.UnitsContainer(parts)
        given = own_registry.Quantity(Decimal(1), unit).to(wanted).magnitude
        off = factor(dimension, symbol) / given - 1
    assert abs(off) <= Decimal("1e-40")


def test_factors_are_kept_as_they_are_worked_out() -> None:
    """The file of factors is what the unit library makes of the definitions, line by line; a unit
    that isn't in it would be asked of the library."""
    assert FACTORS.read_text(encoding="utf-8") == factors_text()
    assert all(
        factor(each, symbol) == worked_out(each, symbol) for each in READ for symbol in READ[each]
    )


def test_units_are_read_without_the_unit_library() -> None:
    """What each unit is worth is kept: no process loads the library to read measurements."""
    code = """
import sys
from service.units import EXAMPLES, parse_measure
read = [parse_measure(text, each) for each, texts in EXAMPLES.items() for text in texts]
sys.exit(not read or "pint" in sys.modules)
"""
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_parse_measure_is_quick_once_seen() -> None:
    """A measurement that was read before costs a fifth of a new one at most, and a new one a fifth
    of what the unit library takes to read it."""
    library: Any = pint.UnitRegistry()
    library.parse_expression("1 ft")

    def read_seen() -> None:
        for _ in range(1000):
            parse_measure("4 ft 6 in", "length")

    def read_by_library() -> None:
        for _ in range(200):
            library.parse_expression(f"{next(NUMBERS)}.25 ft")

    new = least_work(lambda: read_new(1000))
    assert least_work(read_seen) < new / 5
    assert new < least_work(read_by_library)


@pytest.mark.parametrize(
    ("written", "dimension", "near"),
    [
        ("24'-6\"", "length", "24 ft 6 in"),
        ("24' 6 1/2\"", "length", "24 ft 6 1/2 in"),
        ("24 feet", "length", "24 ft"),
        ("40'", "length", "40 ft"),
        ("40ft", "length", "40 ft"),
        ('6"', "length", "6 in"),
        ("7-1/8 in", "length", "7 1/8 in"),
        ("1,200 ft", "length", "1200 ft"),
        ("3 Meters", "length", "3 m"),
        ("150 sf", "area", "150 ft2"),
        ("150 sq ft", "area", "150 ft2"),
        ("150ft2", "area", "150 ft2"),
        ("12 cy", "volume", "12 yd3"),
        ("80 lbs", "mass", "80 lb"),
        ("45 degrees", "angle", "45 deg"),
        ("1,2 m", "length", "1.2 m"),
    ],
)
def test_parse_measure_hints_at_the_nearest_right_writing(
    written: str, dimension: MeasureDimension, near: str
) -> None:
    """What a contractor writes is refused, and told as it is read."""
    with pytest.raises(MeasurementInvalidError) as caught:
        parse_measure(written, dimension)
    assert caught.value.hint == f'did you mean "{near}"?'
    assert parse_measure(near, dimension) > 0


@pytest.mark.parametrize(
    ("written", "near"),
    [("10%", "10 %"), ("3 : 1", "3:1"), ("12 degrees", "12 deg"), ("10 percent", "10 %")],
)
def test_parse_slope_hints_at_the_nearest_right_writing(written: str, near: str) -> None:
    """A slope that is written otherwise is refused, and told as it is read."""
    with pytest.raises(MeasurementInvalidError) as caught:
        parse_slope(written)
    assert caught.value.hint == f'did you mean "{near}"?'
    assert parse_slope(near) > 0


@pytest.mark.parametrize("written", ["abc", "40 cubits", "4 ft 14 feet", "12 sf"])
def test_parse_measure_guesses_no_other_length(written: str) -> None:
    """Where no writing is near, the hint says how a length is written at all."""
    with pytest.raises(MeasurementInvalidError) as caught:
        parse_measure(written, "length")
    assert "units read here: " in caught.value.hint
