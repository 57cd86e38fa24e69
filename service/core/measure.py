"""Units of measure inside the core: exact factors to SI, and how a figure is shown.

Values are SI floats (m, m2, m3, kg, N/m, Pa) or counts; a unit only shows or sells one.
Factors are exact definitions (NIST SP 811, 2008, App. B: ft = 0.3048 m, lb = 0.45359237 kg,
standard gravity 9.80665 m/s2).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Literal, assert_never

Dimension = Literal[
    "length",
    "area",
    "volume",
    "mass",
    "count",
    "time",
    "day",
    "load",
    "force_per_length",
    "pressure",
]
UnitSetName = Literal["us", "metric"]

_FT = Decimal("0.3048")
_IN = Decimal("0.0254")
_YD = Decimal("0.9144")
_LB = Decimal("0.45359237")
_GRAVITY = Decimal("9.80665")
# Turns mass into weight (SI Brochure, 9th edition; exact by definition).
STANDARD_GRAVITY = float(_GRAVITY)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit in which something is shown or sold: `si` of it make one SI unit of `dimension`."""

    symbol: str
    dimension: Dimension
    si: Decimal


UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        unit.symbol: unit
        for unit in (
            Unit("in", "length", _IN),
            Unit("ft", "length", _FT),
            Unit("yd", "length", _YD),
            Unit("mm", "length", Decimal("0.001")),
            Unit("cm", "length", Decimal("0.01")),
            Unit("m", "length", Decimal(1)),
            Unit("in2", "area", _IN**2),
            Unit("ft2", "area", _FT**2),
            Unit("yd2", "area", _YD**2),
            Unit("m2", "area", Decimal(1)),
            Unit("ft3", "volume", _FT**3),
            Unit("yd3", "volume", _YD**3),
            Unit("m3", "volume", Decimal(1)),
            Unit("lb", "mass", _LB),
            Unit("ton", "mass", _LB * 2000),
            Unit("kg", "mass", Decimal(1)),
            Unit("t", "mass", Decimal(1000)),
            Unit("each", "count", Decimal(1)),
            Unit("h", "time", Decimal(1)),
            Unit("day", "day", Decimal(1)),
            Unit("load", "load", Decimal(1)),
        )
    }
)


# Units of what is stated and shown, but never sold or measured out.
SHOWN_UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        unit.symbol: unit
        for unit in (
            Unit("lb/ft", "force_per_length", _LB * _GRAVITY / _FT),
            Unit("kN/m", "force_per_length", Decimal(1000)),
            Unit("psf", "pressure", _LB * _GRAVITY / _FT**2),
            Unit("kPa", "pressure", Decimal(1000)),
        )
    }
)

# Units of the one set and of the other; what is counted belongs to both.
UNITS_OF: Mapping[UnitSetName, frozenset[str]] = MappingProxyType(
    {
        "us": frozenset({"in", "ft", "yd", "in2", "ft2", "yd2", "ft3", "yd3", "lb", "ton"})
        | {"lb/ft", "psf"},
        "metric": frozenset({"mm", "cm", "m", "m2", "m3", "kg", "t", "kN/m", "kPa"}),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitSet:
    """Which unit each kind of figure is shown in, for one request; `small_volume` is that of
    volumes within a wall, in which strips and courses are worked out."""

    name: UnitSetName
    length: str
    small_length: str
    area: str
    volume: str
    small_volume: str
    mass: str
    force_per_length: str
    pressure: str

    def unit_for(self, dimension: Dimension) -> str:
        """The unit in which a figure of this dimension is shown."""
        symbol: str
        match dimension:
            case "length":
                symbol = self.length
            case "area":
                symbol = self.area
            case "volume":
                symbol = self.volume
            case "mass":
                symbol = self.mass
            case "force_per_length":
                symbol = self.force_per_length
            case "pressure":
                symbol = self.pressure
            case "count":
                symbol = "each"
            case "time":
                symbol = "h"
            case "day" | "load":
                symbol = dimension
            case _:
                assert_never(dimension)
        return symbol

    def show(self, value: float, dimension: Dimension, unit: str | None = None) -> str:
        """An SI value with its unit to six digits, as traces and messages say it: `12.5 ft`."""
        symbol = unit or self.unit_for(dimension)
        return f"{number(in_unit(value, symbol), TRACE_DIGITS)} {symbol}"


US = UnitSet(
    name="us",
    length="ft",
    small_length="in",
    area="ft2",
    volume="yd3",
    small_volume="ft3",
    mass="lb",
    force_per_length="lb/ft",
    pressure="psf",
)
METRIC = UnitSet(
    name="metric",
    length="m",
    small_length="mm",
    area="m2",
    volume="m3",
    small_volume="m3",
    mass="kg",
    force_per_length="kN/m",
    pressure="kPa",
)
UNIT_SETS: Mapping[str, UnitSet] = MappingProxyType({"us": US, "metric": METRIC})

_SI_OF = {name: float(unit.si) for name, unit in {**SHOWN_UNITS, **UNITS}.items()}
LEAST_SHOWN = 1e-12  # in any unit: no figure of a wall is that small
ANSWER_DIGITS = 9
TRACE_DIGITS = 6


# What a unit begins behind; what was typed, or is to be typed, stands in quotes and stays so.
_POWER = re.compile(
    r"(?:(?<=[0-9] )|(?<=\bper )|(?<=\b(?:lb|kg|kN)/)|(?<=\bton/))"
    r"(in|ft|yd|mm|cm|m)([23])(?![\w/\"'`])",
    re.ASCII,
)
_SIGNS = str.maketrans("23", "²³")


def unit_sign(symbol: str) -> str:
    """A unit as people write it: `yd3` is `yd³`."""
    return symbol.translate(_SIGNS) if symbol in UNITS else symbol


def with_signs(text: str) -> str:
    """A text with its units as people write them: `2.5 yd3 at 45.00 per yd3` has `yd³` twice."""
    return _POWER.sub(lambda unit: unit[0].translate(_SIGNS), text)


def in_unit(value: float, symbol: str) -> float:
    """An SI value in a unit."""
    return value / _SI_OF[symbol]


def number(value: float | Decimal, digits: int = ANSWER_DIGITS) -> str:
    """A figure in plain notation: so many significant digits, no exponent, no trailing zeros.

    Decimals are exact (orders, hours, counts) and keep all their digits. A figure that is what
    arithmetic leaves of nothing is 0.
    """
    if isinstance(value, float) and abs(value) < LEAST_SHOWN:
        return "0"
    text = format(value, "f") if isinstance(value, Decimal) else f"{value:.{digits}g}"
    if "e" in text:
        text = format(Decimal(text), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
