"""Readers of measurements and slopes: text with its unit, in SI afterwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from pydantic_core import PydanticCustomError

from service.core.measure import number
from service.fields.readers import JsonObject, Reader, refused
from service.units import (
    EXAMPLES,
    LONGEST_SLOPE,
    LONGEST_TEXT,
    SLOPE_EXAMPLES,
    SLOPE_PATTERN,
    VALUE_PATTERN,
    MeasureDimension,
    MeasurementInvalidError,
    found,
    measure_pattern,
    parse_measure,
    parse_slope,
    publish_measure,
    read_units,
)

Sign = Literal["any", "not_negative", "positive"]


def _may_be_measurement(value: object) -> bool:
    """Whether someone who wrote this meant a measurement: text, a number, a pair."""
    if isinstance(value, Mapping):
        return "value" in value or "unit" in value
    return isinstance(value, (str, int, float, Decimal)) and not isinstance(value, bool)


# The largest figure of each dimension, as shown and in SI. Nothing that is built reaches them;
# they keep sums and counts finite.
LIMITS: Mapping[MeasureDimension, tuple[str, float]] = {
    "length": ("10000 m", 1e4),
    "area": ("100000000 m2", 1e8),
    "volume": ("100000000 m3", 1e8),
    "mass": ("100000000 kg", 1e8),
    "density": ("30000 kg/m3", 3e4),
    "pressure": ("10000 kPa", 1e7),
    "unit_weight": ("300 kN/m3", 3e5),
    "force_per_length": ("10000 kN/m", 1e7),
    "angle": ("360 deg", 6.283185307179586),
}
_LARGEST_VALUE = 10**12


@dataclass(frozen=True, slots=True)
class Measured(Reader):
    """A measurement: text with a unit, or `{"value", "unit"}`; in SI afterwards."""

    dimension: MeasureDimension
    sign: Sign = "any"

    def read(self, value: object) -> float:
        """The measurement in SI."""
        try:
            si = parse_measure(value, self.dimension)
        except MeasurementInvalidError as error:
            if _may_be_measurement(value):
                raise refused("measurement-invalid", error.message, error.hint) from None
            raise refused("wrong-type", error.message, error.hint) from None
        limit, largest = LIMITS[self.dimension]
        if abs(si) > largest:
            raise _out_of_range(value, f"is over the limit of {limit}")
        if (si < 0 and self.sign != "any") or (si == 0 and self.sign == "positive"):
            needed = "must be more than 0" if self.sign == "positive" else "must not be negative"
            raise _out_of_range(value, needed)
        return si

    def schema(self) -> JsonObject:
        """Text with a unit, or an object of value and unit; no bare number."""
        signed = self.sign == "any"
        number = {"minimum": -_LARGEST_VALUE if signed else 0, "maximum": _LARGEST_VALUE}
        text = {"type": "string", "maxLength": LONGEST_TEXT}
        pair = {
            "type": "object",
            "properties": {
                "value": {
                    "anyOf": [
                        {"type": "number", **number},
                        {**text, "pattern": VALUE_PATTERN},
                    ]
                },
                "unit": {"type": "string", "enum": list(read_units(self.dimension))},
            },
            "required": ["value", "unit"],
            "additionalProperties": False,
        }
        pattern = measure_pattern(self.dimension, signed=signed)
        return {
            "anyOf": [{**text, "pattern": pattern}, pair],
            "description": self._description(),
            "examples": list(EXAMPLES[self.dimension]),
        }

    def write(self, value: float) -> str:
        """The measurement in the unit of its limit."""
        unit = LIMITS[self.dimension][0].partition(" ")[2]
        return " ".join(publish_measure(value, self.dimension, unit).values())

    def _description(self) -> str:
        limit, _ = LIMITS[self.dimension]
        bounds = {
            "any": f"between -{limit} and {limit}",
            "not_negative": f"from 0 to {limit}",
            "positive": f"more than 0, at most {limit}",
        }[self.sign]
        units = ", ".join(read_units(self.dimension))
        return f"{self.dimension.replace('_', ' ').capitalize()} with its unit ({units}); {bounds}."


def _out_of_range(value: object, why: str) -> PydanticCustomError:
    shown = found(f"{value['value']} {value['unit']}" if isinstance(value, Mapping) else value)
    return refused("measurement-out-of-range", f"{shown} {why}")


@dataclass(frozen=True, slots=True)
class SlopeText(Reader):
    """A slope as text; rise over run afterwards."""

    def read(self, value: object) -> float:
        """Rise over run."""
        try:
            return parse_slope(value)
        except MeasurementInvalidError as error:
            raise refused("slope-invalid", error.message, error.hint) from None

    def write(self, value: float) -> str:
        """The slope in per cent."""
        return f"{number(value * 100)} %" if value else "level"

    def schema(self) -> JsonObject:
        """Text in one of the four forms."""
        return {
            "type": "string",
            "maxLength": LONGEST_SLOPE,
            "pattern": SLOPE_PATTERN,
            "description": (
                "Slope: horizontal:vertical (neither 0), degrees (below 90), per cent, or level; "
                "a leading minus turns it round."
            ),
            "examples": list(SLOPE_EXAMPLES),
        }
