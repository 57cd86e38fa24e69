"""Field types: what they read, what they refuse with which code, what they publish."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field, TypeAdapter, ValidationError

from service import fields
from service.core.measure import UNITS
from service.units import DIMENSIONS, MeasureDimension, parse_measure

MEASURES = {
    "Length": "4 ft 6 in",
    "NonNegativeLength": "0 ft",
    "PositiveLength": "1.2 m",
    "Area": "0 ft2",
    "PositiveArea": "1 ft2",
    "Volume": "0 m3",
    "PositiveVolume": "2 yd3",
    "Mass": "105 lb",
    "Density": "120 pcf",
    "Pressure": "0 psf",
    "UnitWeight": "120 pcf",
    "ForcePerLength": "0 kN/m",
    "PositiveForcePerLength": "3500 lb/ft",
    "Angle": "-45 deg",
    "NonNegativeAngle": "0 deg",
    "PositiveAngle": "45 deg",
}
DECIMALS = {
    "DecimalText": "-12.5",
    "NonNegativeDecimalText": "0",
    "PositiveDecimalText": "0.000001",
    "UnitCostText": "7.123456",
    "MoneyText": "120.00",
    "RatioText": "0.05",
    "RatioBelowOneText": "0.999999",
    "ShareText": "1.5",
    "PartText": "1",
    "MarkupText": "3.0",
    "FactorText": "1.15",
    "FractionText": "1/7",
}
TEXTS = {
    "Slope": "3:1",
    "Id": "demo_block_200",
    "ShortText": "Driveway edge, lower wall",
    "LongText": "Soft ground.\nWater at the north end.",
    "IsoDate": "2026-05-04",
    "UnitSymbol": "yd3",
}
READ = MEASURES | DECIMALS | TEXTS


def _adapter(name: str) -> TypeAdapter[Any]:
    return TypeAdapter(getattr(fields, name))


def _code(name: str, value: object) -> str:
    with pytest.raises(ValidationError) as caught:
        _adapter(name).validate_python(value)
    (error,) = caught.value.errors(include_url=False)
    return error["type"]


@pytest.mark.parametrize(("name", "text"), READ.items(), ids=READ)
def test_fields_read_what_their_schema_allows(name: str, text: str) -> None:
    """A sound text is read, and the published schema accepts it as well."""
    _adapter(name).validate_python(text)
    jsonschema.Draft202012Validator(_adapter(name).json_schema()).validate(text)


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("name", READ)
@pytest.mark.parametrize("value", [0.05, 5, Decimal("0.05"), True, None, [], "\ud800"])
def test_fields_refuse_numbers_and_other_shapes(name: str, value: object) -> None:
    """No field takes a bare number, a truth value, null, a list, or text that is no text."""
    with pytest.raises(ValidationError):
        _adapter(name).validate_python(value)


@pytest.mark.parametrize("name", [name for name in READ if name != "LongText"])
def test_fields_refuse_a_line_end(name: str) -> None:
    """No field but long text takes a line end, at the end neither, where `$` would."""
    with pytest.raises(ValidationError):
        _adapter(name).validate_python(f"{READ[name]}\n")


@pytest.mark.parametrize("name", READ)
def test_fields_publish_bounds_and_an_example(name: str) -> None:
    """Each schema has a description, an example it accepts, and no bare number."""
    schema = _adapter(name).json_schema()
    validator = jsonschema.Draft202012Validator(schema)
    assert not validator.is_valid(5)
    assert not validator.is_valid(5.5)
    if name != "UnitSymbol":  # a closed list is its own description
        assert schema["description"].endswith(".")
        for example in schema["examples"]:
            validator.validate(example)
            _adapter(name).validate_python(example)


@pytest.mark.parametrize("name", MEASURES)
def test_measures_read_pairs(name: str) -> None:
    """Every measurement may come as value and unit, and the schema says so."""
    unit = MEASURES[name].rpartition(" ")[2]
    pair = {"value": 3, "unit": unit}
    assert _adapter(name).validate_python(pair) == _adapter(name).validate_python(f"3 {unit}")
    jsonschema.Draft202012Validator(_adapter(name).json_schema()).validate(pair)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("NonNegativeLength", "-1 ft"),
        ("PositiveLength", "0 ft"),
        ("PositiveLength", "-1 ft"),
        ("Length", "10001 m"),
        ("Length", "-10001 m"),
        ("Length", "10000000 ft"),
        ("Mass", "0 kg"),
        ("Pressure", "-1 psf"),
        ("Density", "0 pcf"),
        ("Angle", "361 deg"),
        ("PositiveAngle", "0 deg"),
        ("UnitWeight", "301 kN/m3"),
        ("Area", {"value": -1, "unit": "m2"}),
    ],
    ids=str,
)
def test_measures_state_their_bounds(name: str, value: object) -> None:
    """Signs and sizes out of bounds have a code of their own."""
    assert _code(name, value) == "measurement-out-of-range"


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_limits_are_what_they_say(dimension: MeasureDimension) -> None:
    """The limit as shown and the limit as compared are the same figure."""
    shown, si = fields.LIMITS[dimension]
    assert parse_measure(shown, dimension) == si


@pytest.mark.parametrize(
    ("name", "value", "code"),
    [
        ("Length", 12, "measurement-invalid"),
        ("Length", "12", "measurement-invalid"),
        ("Length", {"value": 1}, "measurement-invalid"),
        ("Length", {"after": 1}, "wrong-type"),
        ("Length", None, "wrong-type"),
        ("Length", True, "wrong-type"),
        ("Slope", "20%", "slope-invalid"),
        ("Slope", 0.3, "slope-invalid"),
        ("RatioText", 0.05, "number-not-text"),
        ("RatioText", Decimal("0.05"), "number-not-text"),
        ("MoneyText", 120, "number-not-text"),
        ("FractionText", 0.1, "number-not-text"),
        ("RatioText", True, "wrong-type"),
        ("RatioText", "5", "decimal-invalid"),
        ("RatioText", "1.000001", "decimal-invalid"),
        ("RatioText", "-0.1", "decimal-invalid"),
        ("RatioBelowOneText", "1", "decimal-invalid"),
        ("ShareText", "100", "decimal-invalid"),
        ("PartText", "1.000001", "share-not-meant"),
        ("PartText", "-0.1", "decimal-invalid"),
        ("MarkupText", "3.000001", "share-not-meant"),
        ("FactorText", "0", "decimal-invalid"),
        ("PositiveDecimalText", "0.000000", "decimal-invalid"),
        ("MoneyText", "-1", "decimal-invalid"),
        ("MoneyText", "1.00001", "decimal-invalid"),
        ("FractionText", "8/7", "decimal-invalid"),
        ("FractionText", "1/0", "decimal-invalid"),
        ("FractionText", "-1/7", "decimal-invalid"),
        ("Id", "Demo", "id-invalid"),
        ("Id", "a-b", "id-invalid"),
        ("Id", "", "id-invalid"),
        ("Id", "a\n", "id-invalid"),
        ("Id", "a" * 65, "too-long"),
        ("Id", 3, "wrong-type"),
        ("ShortText", "", "text-invalid"),
        ("ShortText", " blank first", "text-invalid"),
        ("ShortText", "two\nlines", "text-invalid"),
        ("ShortText", "nul\0", "text-invalid"),
        ("ShortText", "escape \x1b[31m", "text-invalid"),
        ("ShortText", "half \ud800", "text-invalid"),
        ("ShortText", "x" * 201, "too-long"),
        ("LongText", "x" * 2001, "too-long"),
        ("LongText", "tab\t", "text-invalid"),
        ("IsoDate", "2026-02-30", "date-invalid"),
        ("IsoDate", "20260504", "date-invalid"),
        ("IsoDate", "2026-5-4", "date-invalid"),
        ("IsoDate", "0001-01-01", "date-invalid"),
        ("IsoDate", date(2026, 5, 4), "wrong-type"),
        ("UnitSymbol", "yard", "literal_error"),
    ],
    ids=lambda value: ascii(value)[:40],
)
def test_fields_refuse_with_a_stable_code(name: str, value: object, code: str) -> None:
    """Each mistake has its code."""
    assert _code(name, value) == code


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    "text",
    [
        "1E+999999",
        "1e3",
        "\u0661\u0662",
        "1_000",
        " 12 \n",
        "12\n",
        "+1",
        "1.",
        ".5",
        "NaN",
        "Infinity",
        "1,5",
        "1234567890123",
        "1.1234567",
        "9" * 100_000,
        "",
        "-",
    ],
    ids=lambda value: ascii(value)[:40],
)
@pytest.mark.parametrize("name", DECIMALS)
def test_decimals_refuse_what_decimal_would_take(name: str, text: str) -> None:
    """The pattern comes first: no exponents, other digits, underscores, spaces, or long tails."""
    assert _code(name, text) == "decimal-invalid"


def test_decimals_are_exact() -> None:
    """Decimals and fractions keep every digit."""
    assert _adapter("UnitCostText").validate_python("6.85") == Decimal("6.85")
    assert str(_adapter("MoneyText").validate_python("500.00")) == "500.00"
    assert _adapter("FractionText").validate_python("1/7") == Fraction(1, 7)
    assert _adapter("FractionText").validate_python("0.1") == Fraction(1, 10)


def test_decimals_have_no_negative_zero() -> None:
    """-0.00 would print as it came in."""
    assert str(_adapter("DecimalText").validate_python("-0.00")) == "0.00"


def test_number_not_text_shows_the_form() -> None:
    """Whoever sends 0.05 reads how to write it."""
    with pytest.raises(ValidationError) as caught:
        _adapter("RatioText").validate_python(0.05)
    (error,) = caught.value.errors(include_url=False)
    assert error["ctx"]["message"] == '0.05 is a number; a ratio is text, like "0.05"'
    assert "from 0 to 1" in error["ctx"]["hint"]


@pytest.mark.parametrize("name", READ)
@given(data=st.data())
def test_fields_and_schemas_agree(name: str, data: st.DataObject) -> None:
    """Text that the published pattern refuses is refused when read, and the other way round
    except where the bounds say more than a pattern can."""
    schema = _adapter(name).json_schema()
    text = data.draw(st.text(alphabet="0123456789./:-% ftinmdegkpclb2_levé\n\u00a0", max_size=20))
    allowed = jsonschema.Draft202012Validator(schema).is_valid(text)
    if name != "LongText" and text.endswith("\n"):  # `$` of this dialect looks past it
        allowed = False
    code = _refusal(name, text)
    assert (code is None) <= allowed
    assert not allowed or code in {None, *_MORE_THAN_A_PATTERN}


_MORE_THAN_A_PATTERN = (
    "measurement-out-of-range",
    "slope-invalid",
    "decimal-invalid",
    "date-invalid",
)


def _refusal(name: str, value: object) -> str | None:
    try:
        _adapter(name).validate_python(value)
    except ValidationError as error:
        return error.errors()[0]["type"]
    return None


@pytest.mark.parametrize("name", READ)
def test_patterns_are_plain(name: str) -> None:
    """Published patterns are anchored and keep to what every regular-expression dialect has."""
    schema = _adapter(name).json_schema()
    patterns = re.findall(r"'pattern': '(.*?[^\\])'", str(schema)) or ["^$"]
    for pattern in patterns:
        assert pattern.startswith("^")
        assert pattern.endswith("$")
        assert not re.search(r"\\d|\\w|\(\?P|\(\?=|\(\?!|\(\?<|\\ud", pattern)


class _Part(fields.StrictModel):
    length: fields.Length = 0.0
    load: fields.Pressure = 0.0
    slope: fields.Slope = 0.0
    fall: fields.Slope = 0.2
    waste: fields.RatioText = Decimal("0.05")
    share: fields.FractionText = Field(default_factory=lambda: Fraction(1, 7))
    day: fields.IsoDate = date(2026, 5, 4)
    start: fields.Length = Field(0.0, alias="from")
    kind: Literal["straight"] = "straight"
    count: fields.Count = 1


def test_strict_model_publishes_defaults_as_written() -> None:
    """Defaults stand in the schema as a caller writes them, and are read back as themselves."""
    properties = _Part.model_json_schema()["properties"]
    shown = {name: entry["default"] for name, entry in properties.items()}
    assert shown == {
        "length": "0 m",
        "load": "0 kPa",
        "slope": "level",
        "fall": "20 %",
        "waste": "0.05",
        "share": "1/7",
        "day": "2026-05-04",
        "from": "0 m",
        "kind": "straight",
        "count": 1,
    }
    assert _Part.model_validate(shown) == _Part()


@pytest.mark.parametrize(
    "document",
    [{"count": True}, {"count": "1"}, {"count": Decimal("1.0")}, {"count": 1.0}, {"extra": 1}],
    ids=str,
)
def test_strict_model_coerces_nothing(document: dict[str, object]) -> None:
    """A count is a whole number and nothing that could be taken for one; unknown keys fail."""
    with pytest.raises(ValidationError):
        _Part.model_validate(document)


def test_strict_model_is_frozen() -> None:
    """A document that was read doesn't change."""
    with pytest.raises(ValidationError, match="frozen"):
        _Part().count = 2  # type: ignore[misc]  # the type checker knows it as well


def test_by_shape_tells_text_from_objects() -> None:
    """Text is an id; everything else must be an object and is told so."""
    given_values: tuple[object, ...] = ("a", {}, 3, None)
    shapes = [fields.by_shape(value) for value in given_values]
    assert shapes == ["text", "object", "object", "object"]


def test_unit_symbol_is_the_list_of_sold_units() -> None:
    """What can be sold by is a known unit, or a pack."""
    symbols = TypeAdapter(fields.UnitSymbol).json_schema()["enum"]
    assert [symbol for symbol in symbols if symbol not in UNITS] == ["pack"]
