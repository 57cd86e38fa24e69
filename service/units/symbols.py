"""Which units are read for each dimension, what they are called, and examples of them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, get_args

MeasureDimension = Literal[
    "length",
    "area",
    "volume",
    "mass",
    "density",
    "pressure",
    "unit_weight",
    "force_per_length",
    "angle",
]

DIMENSIONS: tuple[MeasureDimension, ...] = get_args(MeasureDimension)

UnitParts = tuple[tuple[str, int], ...]  # (name of the unit in Pint, power)


def _powers(power: int) -> dict[str, UnitParts]:
    names = {"in": "inch", "ft": "foot", "yd": "yard", "mm": "millimeter", "cm": "centimeter"}
    names["m"] = "meter"
    suffix = "" if power == 1 else str(power)
    return {symbol + suffix: ((name, power),) for symbol, name in names.items()}


READ: Mapping[MeasureDimension, Mapping[str, UnitParts]] = MappingProxyType(
    {
        "length": _powers(1),
        "area": _powers(2),
        "volume": _powers(3),
        "mass": {
            "lb": (("pound", 1),),
            "ton": (("short_ton", 1),),
            "kg": (("kilogram", 1),),
            "t": (("metric_ton", 1),),
        },
        # As a density pcf is pounds of mass per cubic foot; as a unit weight pounds of force.
        "density": {
            "pcf": (("pound", 1), ("foot", -3)),
            "lb/ft3": (("pound", 1), ("foot", -3)),
            "lb/yd3": (("pound", 1), ("yard", -3)),
            "ton/yd3": (("short_ton", 1), ("yard", -3)),
            "kg/m3": (("kilogram", 1), ("meter", -3)),
        },
        "pressure": {
            "psf": (("force_pound", 1), ("foot", -2)),
            "kPa": (("kilopascal", 1),),
            "kN/m2": (("kilonewton", 1), ("meter", -2)),
        },
        "unit_weight": {
            "pcf": (("force_pound", 1), ("foot", -3)),
            "kN/m3": (("kilonewton", 1), ("meter", -3)),
        },
        "force_per_length": {
            "lb/ft": (("force_pound", 1), ("foot", -1)),
            "kN/m": (("kilonewton", 1), ("meter", -1)),
        },
        "angle": {"deg": (("degree", 1),)},
    }
)

EXAMPLES: Mapping[MeasureDimension, tuple[str, ...]] = MappingProxyType(
    {
        "length": ("4 ft 6 in", "7 1/8 in", "1.2 m"),
        "area": ("120 ft2", "12.5 m2"),
        "volume": ("0.15 ft3", "2 m3"),
        "mass": ("105 lb", "48 kg"),
        "density": ("120 pcf", "1900 kg/m3"),
        "pressure": ("100 psf", "5 kPa"),
        "unit_weight": ("120 pcf", "19 kN/m3"),
        "force_per_length": ("3500 lb/ft", "51 kN/m"),
        "angle": ("45 deg",),
    }
)

NAMES: Mapping[MeasureDimension, str] = MappingProxyType(
    {
        "length": "a length",
        "area": "an area",
        "volume": "a volume",
        "mass": "a mass",
        "density": "a density",
        "pressure": "a pressure",
        "unit_weight": "a unit weight",
        "force_per_length": "a force per length",
        "angle": "an angle",
    }
)
