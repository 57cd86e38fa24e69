"""Field types of every document that comes in: strict readers that publish their own schema.

Measurements become SI floats, decimals become Decimal, and each type states its form, its
bounds and an example in the JSON Schema. Faults carry a stable kebab-case code as their type
and `message` and `hint` as their context.

Lists of a model are tuples and say how long they may be; JSON and TOML bring lists, so they
are read laxly: `Annotated[tuple[Item, ...], Field(strict=False, max_length=200)]`.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import core_schema

from service.fields.enough import FaultCount, ListOf, TableOf
from service.fields.measured import LIMITS, Measured, SlopeText
from service.fields.readers import (
    DATE_PATTERN,
    CalendarDate,
    FractionOrDecimal,
    JsonObject,
    MeantShare,
    PlainDecimal,
    PlainText,
    Reader,
    calendar_day,
    refused,
)

__all__ = [
    "DATE_PATTERN",
    "ID_PATTERN",
    "LIMITS",
    "Angle",
    "Area",
    "Count",
    "DecimalText",
    "Density",
    "FactorText",
    "FaultCount",
    "ForcePerLength",
    "FractionText",
    "Id",
    "IsoDate",
    "JsonObject",
    "Length",
    "ListOf",
    "LongText",
    "MarkupText",
    "Mass",
    "Measured",
    "MoneyText",
    "NonNegativeAngle",
    "NonNegativeCount",
    "NonNegativeDecimalText",
    "NonNegativeLength",
    "PartText",
    "PlainText",
    "PositiveAngle",
    "PositiveArea",
    "PositiveDecimalText",
    "PositiveForcePerLength",
    "PositiveLength",
    "PositiveVolume",
    "Pressure",
    "RatioBelowOneText",
    "RatioText",
    "Reader",
    "ShareText",
    "ShortText",
    "Slope",
    "StrictModel",
    "TableOf",
    "UnitCostText",
    "UnitSymbol",
    "UnitWeight",
    "Volume",
    "by_shape",
    "calendar_day",
    "id_text",
    "refused",
]


class StrictModel(BaseModel):
    """A document from outside: unknown keys refused, nothing coerced, frozen."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        hide_input_in_errors=True,
    )

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """The schema, with defaults as a caller would write them: `"0 m"`, never 0.0."""
        published = handler(schema)
        properties = handler.resolve_ref_schema(published).get("properties", {})
        for name, field in cls.model_fields.items():
            shown = properties.get(field.alias or name, {})
            for reader in field.metadata:
                if isinstance(reader, Reader) and ("default" in shown or field.default_factory):
                    default = field.get_default(call_default_factory=True, validated_data={})
                    shown["default"] = reader.write(default)
        return published


def by_shape(value: object) -> str:
    """Discriminator of fields that take text or an object: `"text"` or `"object"`, as tags.

    Anything else is sent to `"object"`, which says that an object is needed.
    """
    return "text" if isinstance(value, str) else "object"


_CONTROL = r"\u0000-\u001f\u007f-\u009f"
_RATIO = r"0(?:\.[0-9]{1,6})?|1(?:\.0{1,6})?"

Length = Annotated[float, Measured("length")]
NonNegativeLength = Annotated[float, Measured("length", "not_negative")]
PositiveLength = Annotated[float, Measured("length", "positive")]
Area = Annotated[float, Measured("area", "not_negative")]
PositiveArea = Annotated[float, Measured("area", "positive")]
Volume = Annotated[float, Measured("volume", "not_negative")]
PositiveVolume = Annotated[float, Measured("volume", "positive")]
Mass = Annotated[float, Measured("mass", "positive")]
Density = Annotated[float, Measured("density", "positive")]
Pressure = Annotated[float, Measured("pressure", "not_negative")]
UnitWeight = Annotated[float, Measured("unit_weight", "positive")]
ForcePerLength = Annotated[float, Measured("force_per_length", "not_negative")]
PositiveForcePerLength = Annotated[float, Measured("force_per_length", "positive")]
Angle = Annotated[float, Measured("angle")]
NonNegativeAngle = Annotated[float, Measured("angle", "not_negative")]
PositiveAngle = Annotated[float, Measured("angle", "positive")]
Slope = Annotated[float, SlopeText()]

DecimalText = Annotated[
    Decimal,
    PlainDecimal(
        "a decimal",
        r"^-?[0-9]{1,12}(?:\.[0-9]{1,6})?$",
        "12.5",
        "at most 12 digits before the point and 6 after it",
    ),
]
_NOT_NEGATIVE = r"^[0-9]{1,12}(?:\.[0-9]{1,6})?$"
_NOT_NEGATIVE_BOUNDS = "from 0, at most 12 digits before the point and 6 after it"
NonNegativeDecimalText = Annotated[
    Decimal, PlainDecimal("a decimal", _NOT_NEGATIVE, "12.5", _NOT_NEGATIVE_BOUNDS)
]
PositiveDecimalText = Annotated[
    Decimal,
    PlainDecimal(
        "a decimal", _NOT_NEGATIVE, "12.5", f"more than 0; {_NOT_NEGATIVE_BOUNDS}", positive=True
    ),
]
UnitCostText = Annotated[
    Decimal, PlainDecimal("a unit cost", _NOT_NEGATIVE, "7.10", _NOT_NEGATIVE_BOUNDS)
]
# No currency has more than four places (ISO 4217).
MoneyText = Annotated[
    Decimal,
    PlainDecimal(
        "an amount of money",
        r"^[0-9]{1,12}(?:\.[0-9]{1,4})?$",
        "120.00",
        "from 0, at most 12 digits before the point and 4 after it",
    ),
]
RatioText = Annotated[
    Decimal, PlainDecimal("a ratio", f"^(?:{_RATIO})$", "0.05", "from 0 to 1 (0.05 is 5 %)", 8)
]
RatioBelowOneText = Annotated[
    Decimal,
    PlainDecimal("a ratio", r"^0(?:\.[0-9]{1,6})?$", "0.25", "from 0 to below 1 (0.25 is 25 %)", 8),
]
_SHARE = r"^[0-9]{1,2}(?:\.[0-9]{1,6})?$"
ShareText = Annotated[
    Decimal, PlainDecimal("a share", _SHARE, "0.20", "from 0 to below 100 (0.20 is 20 %)", 9)
]
# Shares of a price: more than all of it, or a markup of more than three times the cost, is a slip.
PartText = Annotated[
    Decimal, MeantShare("a share", f"^(?:{_RATIO})$", "0.20", "from 0 to 1 (0.20 is 20 %)", 10)
]
MarkupText = Annotated[
    Decimal,
    MeantShare(
        "a share",
        r"^(?:[0-2](?:\.[0-9]{1,6})?|3(?:\.0{1,6})?)$",
        "0.20",
        "from 0 to 3 (0.20 is 20 %)",
        10,
        most=Decimal(3),
    ),
]
FactorText = Annotated[
    Decimal, PlainDecimal("a factor", _SHARE, "1.15", "more than 0, below 100", 9, positive=True)
]
FractionText = Annotated[
    Fraction,
    FractionOrDecimal(
        "a ratio",
        f"^(?:{_RATIO}|[0-9]{{1,4}}/[1-9][0-9]{{0,3}})$",
        "1/7",
        "from 0 to 1, a decimal or a fraction",
        9,
    ),
]

ID_PATTERN = "[a-z0-9_]{1,64}"


def id_text(example: str) -> PlainText:
    """What reads an id; refusals show the example."""
    return PlainText(
        "id-invalid",
        "an id of lower-case letters, digits and underscores, at most 64",
        f"^{ID_PATTERN}$",
        64,
        example,
    )


Id = Annotated[str, id_text("demo_block_200")]


def short_text(example: str) -> PlainText:
    """What reads a short text; refusals show the example."""
    return PlainText(
        "text-invalid",
        "text of 1 to 200 characters that begins with no space and has no control characters",
        rf"^[^\s{_CONTROL}][^{_CONTROL}]*$",
        200,
        example,
    )


ShortText = Annotated[str, short_text("Driveway edge, lower wall")]
LongText = Annotated[
    str,
    PlainText(
        "text-invalid",
        "text of 1 to 2000 characters that begins with no space and has no control characters "
        "but line ends",
        rf"^[^\s{_CONTROL}](?:[^{_CONTROL}]|\n)*$",
        2000,
        "Ground behind the wall was soft at the time of the visit.",
    ),
]
IsoDate = Annotated[date, CalendarDate()]
Count = Annotated[int, Field(ge=1, le=1_000_000)]
NonNegativeCount = Annotated[int, Field(ge=0, le=1_000_000)]
# The units in which something is sold (rule 11.2).
UnitSymbol = Literal[
    "yd3", "m3", "ton", "t", "each", "ft", "m", "ft2", "m2", "h", "day", "load", "pack"
]
