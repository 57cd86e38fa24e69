"""Measurements as text or `{"value", "unit"}` into SI floats, and back; the only import of Pint.

Pint knows what a unit is worth. It never sees text: its own reader evaluates arithmetic, takes
`4 ft 6 in` for 24 ft·in and can be made to hang. Here a bounded pattern reads the text and a
closed table names the units; Pint is asked once per unit for its factor to SI.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import Context, Decimal, localcontext
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, get_args

from service.core.measure import UNITS, Unit, number

if TYPE_CHECKING:
    from pint import UnitRegistry

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

LONGEST_TEXT = 40
PLACES = 12  # digits before the point, and after it
LONGEST_SLOPE = 20
LARGEST_SI = 1e9
SHOWN_CHARACTERS = 40

_Parts = tuple[tuple[str, int], ...]  # (name of the unit in Pint, power)


def _powers(power: int) -> dict[str, _Parts]:
    names = {"in": "inch", "ft": "foot", "yd": "yard", "mm": "millimeter", "cm": "centimeter"}
    names["m"] = "meter"
    suffix = "" if power == 1 else str(power)
    return {symbol + suffix: ((name, power),) for symbol, name in names.items()}


_READ: Mapping[MeasureDimension, Mapping[str, _Parts]] = MappingProxyType(
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
SLOPE_EXAMPLES = ("3:1", "12 deg", "20 %", "level")
_NAMES: Mapping[MeasureDimension, str] = MappingProxyType(
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

# 24 digits of a value times 45 of a factor stay exact in 100.
_EXACT = Context(prec=100)
_FACTOR_DIGITS = 45

_WHOLE = rf"[0-9]{{1,{PLACES}}}"
_NUMBER = rf"{_WHOLE}(?:\.{_WHOLE})?"
_UNDER_12 = r"(?:[0-9]|1[01])"
# Proper fractions as a tape has them, down to 1/64.
_TAPE = (
    r"(?:1/2|[13]/4|[1-7]/8|(?:[1-9]|1[0-5])/16|(?:[1-9]|[12][0-9]|3[01])/32"
    r"|(?:[1-9]|[1-5][0-9]|6[0-3])/64)"
)
_FEET_AND_INCHES = (
    rf"({_WHOLE}) ft (?:({_UNDER_12}(?:\.{_WHOLE})?)|(?:({_UNDER_12}) )?({_TAPE})) in"
)
_FRACTION = rf"(?:({_WHOLE}) )?({_TAPE}) (in|ft|yd)"
VALUE_PATTERN = rf"^-?{_NUMBER}$"
SLOPE_PATTERN = (
    r"^(?:level|(-?)(?:([0-9]{1,4}(?:\.[0-9]{1,4})?):([0-9]{1,4}(?:\.[0-9]{1,4})?)"
    r"|([0-8]?[0-9](?:\.[0-9]{1,6})?) deg|([0-9]{1,5}(?:\.[0-9]{1,6})?) %))$"
)


class MeasurementInvalidError(ValueError):
    """A measurement or slope that can't be read: `message` says what was found and what is
    needed, `hint` shows the right form."""

    def __init__(self, message: str, hint: str) -> None:
        self.message = message
        self.hint = hint
        super().__init__(message)


def read_units(dimension: MeasureDimension) -> tuple[str, ...]:
    """Unit symbols that are read for a dimension."""
    return tuple(_READ[dimension])


def measure_pattern(dimension: MeasureDimension, *, signed: bool = True) -> str:
    """The pattern of a measurement's text, as it is checked and as schemas publish it."""
    units = "|".join(re.escape(symbol) for symbol in _READ[dimension])
    forms = [_FEET_AND_INCHES, _FRACTION] if dimension == "length" else []
    forms.append(rf"({_NUMBER}) ({units})")
    return rf"^({'-?' if signed else ''})(?:{'|'.join(forms)})$"


_PATTERNS = {
    dimension: re.compile(measure_pattern(dimension), re.ASCII) for dimension in DIMENSIONS
}
_VALUE = re.compile(VALUE_PATTERN, re.ASCII)
_SLOPE = re.compile(SLOPE_PATTERN, re.ASCII)
_AMOUNT = re.compile(rf"({_NUMBER}) ({'|'.join(UNITS)})", re.ASCII)


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[Any]:
    # Half a second: paid at the first measurement, not at the start of every command.
    import pint  # noqa: PLC0415

    return pint.UnitRegistry(cache_folder=None, non_int_type=Decimal)


@lru_cache(maxsize=128)
def _factor(dimension: MeasureDimension, symbol: str) -> Decimal:
    """SI units in one unit. Pint divides a yard by 3 to get a foot: the last digits are cut, so
    that factors which are exact by definition come out exact."""
    with localcontext(_EXACT):
        registry = _registry()
        parts = {name: Decimal(power) for name, power in _READ[dimension][symbol]}
        quantity = registry.Quantity(Decimal(1), registry.UnitsContainer(parts))
        factor: Decimal = quantity.to_base_units().magnitude
    return Context(prec=_FACTOR_DIGITS).plus(factor).normalize(_EXACT)


def parse_measure(value: object, dimension: MeasureDimension) -> float:
    """A measurement in SI (m, m2, m3, kg, kg/m3, Pa, N/m3, N/m, rad), the float nearest to its
    exact value. `value` is text with a unit or `{"value", "unit"}`.

    Raises MeasurementInvalidError for everything else, bare numbers included.
    """
    if isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise _refused(value, dimension, f"is longer than {LONGEST_TEXT} characters")
        return _parse_text(value, dimension)
    if isinstance(value, Mapping):
        return _parse_pair(value, dimension)
    if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        raise _refused(value, dimension, f"is a bare number; {_NAMES[dimension]} needs a unit")
    raise _refused(value, dimension, f"is not {_NAMES[dimension]}")


def parse_slope(value: object) -> float:
    """A slope as rise over run: `"3:1"` (horizontal:vertical), `"12 deg"`, `"20 %"`, `"level"`;
    a leading minus turns it round. Never vertical.

    Raises MeasurementInvalidError for everything else, bare numbers included.
    """
    if isinstance(value, str) and len(value) <= LONGEST_SLOPE:
        return _parse_slope_text(value)
    bare = isinstance(value, (int, float, Decimal)) and not isinstance(value, bool)
    raise _slope_refused(value, "is a bare number" if bare else "is not a slope")


def read_amount(value: object) -> tuple[Decimal, Unit]:
    """An amount in the unit in which something is sold, such as `"0.5 ton"` or `"50 ft"`: the
    exact figure, never negative, and the core's unit.

    Raises MeasurementInvalidError.
    """
    text = value
    if isinstance(value, Mapping) and set(value) == {"value", "unit"}:
        exact, unit = _pair_value(value["value"]), value["unit"]
        text = f"{exact:f} {unit}" if exact is not None and isinstance(unit, str) else None
    match = None
    if isinstance(text, str) and len(text) <= LONGEST_TEXT:
        match = _AMOUNT.fullmatch(text)
    if match is None:
        message = f'{found(value)} is not an amount with a unit; write it like "0.5 ton" or "50 ft"'
        raise MeasurementInvalidError(message, f"units: {' '.join(UNITS)}")
    return Decimal(match[1]), UNITS[match[2]]


def publish_measure(value: float, dimension: MeasureDimension, symbol: str) -> dict[str, str]:
    """An SI value as it comes out: `{"value": "12.5", "unit": "ft"}`."""
    return {"value": number(value / float(_factor(dimension, symbol))), "unit": symbol}


def found(value: object) -> str:
    """What was found, as a message shows it: at most 40 characters, safe to print and to send."""
    if isinstance(value, str):
        short = value[:SHOWN_CHARACTERS] + ("…" if len(value) > SHOWN_CHARACTERS else "")
        return f'"{short}"' if short.isprintable() else ascii(short)[: 2 * SHOWN_CHARACTERS]
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int) and abs(value) >= 10**SHOWN_CHARACTERS:
        return "a number of many digits"
    if isinstance(value, (int, float, Decimal)):
        return str(value)[:SHOWN_CHARACTERS]
    if isinstance(value, Mapping):
        return "an object"
    return "a list" if isinstance(value, (list, tuple)) else f"a {type(value).__name__}"


@lru_cache(maxsize=8192)
def _parse_text(text: str, dimension: MeasureDimension) -> float:
    match = _PATTERNS[dimension].fullmatch(text)  # leaves no newline over, as `$` would
    if match is None:
        raise _unread(text, dimension)
    sign, *figures = match.groups()
    parts = _length_parts(figures) if dimension == "length" else [(Decimal(figures[0]), figures[1])]
    return _to_si(text, dimension, parts, negative=bool(sign))


def _length_parts(figures: list[str | None]) -> list[tuple[Decimal, str | None]]:
    """(figure, unit) of each part, from the groups of the length pattern in its order."""
    feet, inches, inches_whole, inches_tape, whole, tape, tape_unit, plain, unit = figures
    if feet is not None:
        return [
            (Decimal(feet), "ft"),
            (Decimal(inches) if inches else _mixed(inches_whole, inches_tape), "in"),
        ]
    if tape is not None:
        return [(_mixed(whole, tape), tape_unit)]
    return [(Decimal(plain or 0), unit)]


def _mixed(whole: str | None, fraction: str | None) -> Decimal:
    top, _, bottom = (fraction or "0/1").partition("/")
    return Decimal(whole or 0) + Decimal(top) / Decimal(bottom)


def _parse_pair(value: Mapping[object, object], dimension: MeasureDimension) -> float:
    if set(value) != {"value", "unit"}:
        raise _refused(value, dimension, 'needs the keys "value" and "unit" and no others')
    unit, exact = value["unit"], _pair_value(value["value"])
    if exact is None:
        raise _refused(
            value["value"],
            dimension,
            "is not a number of at most 12 + 12 digits",
        )
    if not isinstance(unit, str) or unit not in _READ[dimension]:
        raise _refused(unit, dimension, f"is not a unit that is read for {_NAMES[dimension]}")
    return _to_si(value, dimension, [(exact.copy_abs(), unit)], negative=exact.is_signed())


def _pair_value(value: object) -> Decimal | None:
    """The number of a pair, exactly, or None: as JSON number or as the text that came out."""
    if isinstance(value, str):
        sound = len(value) <= LONGEST_TEXT and _VALUE.fullmatch(value)
        return Decimal(value) if sound else None
    if isinstance(value, bool) or not isinstance(value, (int, float, Decimal)):
        return None
    if isinstance(value, int) and abs(value) >= 10**PLACES:
        return None
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not exact.is_finite() or (exact and exact.adjusted() >= PLACES):
        return None
    exponent = exact.as_tuple().exponent
    return exact if isinstance(exponent, int) and -PLACES <= exponent <= PLACES else None


def _to_si(
    given: object,
    dimension: MeasureDimension,
    parts: list[tuple[Decimal, str | None]],
    *,
    negative: bool,
) -> float:
    exact = Decimal(0)
    for figure, symbol in parts:
        exact = _EXACT.add(exact, _EXACT.multiply(figure, _factor(dimension, symbol or "")))
    size = float(exact)
    if size > LARGEST_SI:
        raise _refused(given, dimension, "is larger than anything that is built")
    return -size if negative and size else size


@lru_cache(maxsize=1024)
def _parse_slope_text(text: str) -> float:
    match = _SLOPE.fullmatch(text)
    if match is None:
        raise _slope_refused(text, "is not a slope")
    sign, run, rise, degrees, percent = match.groups()
    if run is not None and not (Decimal(run) and Decimal(rise)):
        raise _slope_refused(text, "has a 0")
    if degrees is not None:
        # 15 digits: so 45 deg is 1:1 exactly, which the tangent of a float just misses.
        size = float(f"{math.tan(parse_measure(f'{degrees} deg', 'angle')):.15g}")
    elif percent is not None:
        size = float(Decimal(percent) / 100)
    else:
        size = float(_EXACT.divide(Decimal(rise), Decimal(run))) if run else 0.0
    return -size if sign and size else size


def _unread(text: str, dimension: MeasureDimension) -> MeasurementInvalidError:
    """Why text doesn't match: another dimension's unit, an unknown unit, or the form."""
    symbol = text.rpartition(" ")[2]
    for other in DIMENSIONS:
        if symbol in _READ[other] and _PATTERNS[other].fullmatch(text):
            return _refused(text, dimension, f"is {_NAMES[other]}, not {_NAMES[dimension]}")
    if _VALUE.fullmatch(text):
        return _refused(text, dimension, "has no unit")
    return _refused(text, dimension, f"can't be read as {_NAMES[dimension]}")


def _refused(value: object, dimension: MeasureDimension, why: str) -> MeasurementInvalidError:
    shown = " or ".join(f'"{example}"' for example in EXAMPLES[dimension])
    units = " ".join(_READ[dimension])
    return MeasurementInvalidError(
        f"{found(value)} {why}; write it like {shown}",
        f"one space before the unit, a point for decimals; units read here: {units}",
    )


def _slope_refused(value: object, why: str) -> MeasurementInvalidError:
    shown = ", ".join(f'"{example}"' for example in SLOPE_EXAMPLES)
    return MeasurementInvalidError(
        f"{found(value)} {why}; write it like {shown}",
        "horizontal:vertical with neither 0, degrees below 90, per cent, or level",
    )
