"""Measures of an answer as people read them: feet and inches, rounded volumes, plurals.

A quantity that a cost is multiplied from prints as it is priced, to its last digit (`exact`).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from service.core.measure import TRACE_DIGITS, number
from service.core.money import counted
from service.core.rounding import to_step
from service.operations.answer_figures import Measure

INCHES_PER_FOOT = 12
EIGHTH = Decimal("0.125")
CENTIMETER = Decimal("0.01")
MILLIMETERS_PER_METER = 1000
HOURS_STEP = Decimal("0.1")
# Of what its step would round to nothing.
LEAST_DIGITS = 2
# To what a figure is rounded for reading alone; a unit that isn't here keeps its digits.
_STEPS: Mapping[str, Decimal] = MappingProxyType(
    {
        "ft2": Decimal(1),
        "m2": Decimal("0.1"),
        "yd3": Decimal("0.1"),
        "m3": Decimal("0.1"),
        "lb": Decimal(1),
        "kg": Decimal(1),
        "each": Decimal("0.1"),
        "h": HOURS_STEP,
    }
)
# Units that are words, with a plural.
_WORDS = frozenset({"pallet", "bag", "roll", "length", "load", "day", "pack", "ton"})

# What was written by hand stands in quotes, and stays as it was written.
_LENGTH = re.compile(r"(?<![0-9.\"'-])(-?[0-9]+(?:\.[0-9]+)?) (ft|m)\b(?![/'\"])")


def measure_text(measure: Measure) -> str:
    """A measure for reading, with its unit."""
    return " ".join(measure_parts(measure))


def length_text(length: Measure) -> str:
    """A length as a tape reads: feet and inches to 1/8 in, meters to the centimeter."""
    value = Decimal(length.value)
    if length.unit != "ft":
        return f"{to_step(value, CENTIMETER)} {length.unit}"
    feet, inches = divmod(to_step(abs(value) * INCHES_PER_FOOT, EIGHTH), INCHES_PER_FOOT)
    parts = [f"{number(feet)} ft"] if feet or not inches else []
    parts += [f"{eighths(inches)} in"] if inches else []
    sign = "-" if value < 0 and (feet or inches) else ""
    return sign + " ".join(parts)


def detail_text(length: Measure) -> str:
    """A length that is set out to the last mark: feet and inches to 1/8 in, whole millimeters."""
    if length.unit != "m":
        return length_text(length)
    return f"{number(to_step(Decimal(length.value) * MILLIMETERS_PER_METER, Decimal(1)))} mm"


def lengths_read(text: str) -> str:
    """A sentence with its lengths as a tape reads: `4.17 ft` is `4 ft 2 in`, `1.256 m` is `1.26 m`.
    Where lengths that differ would read alike, all stay as they are."""
    found = {match.groups() for match in _LENGTH.finditer(text)}
    read = {length: length_text(Measure(*length)) for length in found}
    if len(set(read.values())) < len(read):
        return text
    return _LENGTH.sub(lambda match: read[match.groups()] if "." in match[1] else match[0], text)


def courses_text(levels: int, most: int) -> str:
    """Courses of a wall; of a stepped one, which has more levels, how many are at one place."""
    return str(most) if most == levels else f"at most {most}"


def hours_text(hours: str) -> str:
    """Hours for reading, to a tenth, and never to nothing."""
    rounded = to_step(Decimal(hours), HOURS_STEP)
    return str(rounded or Decimal(hours))


def _short(value: str) -> str:
    """A figure in at most six significant digits; whole ones keep all of theirs."""
    return value if "." not in value else number(float(value), TRACE_DIGITS)


def measure_parts(measure: Measure, *, exact: bool = False) -> tuple[str, str]:
    """Figure and unit; a length for reading is all figure, as its units stand within."""
    value, unit = Decimal(measure.value), measure.unit
    kept = measure.value if exact else _short(measure.value)
    if unit in _WORDS:
        return kept, counted(value, unit).split(" ", 1)[1]
    if exact:
        return kept, unit
    if unit in {"ft", "m"}:
        figure, _, last = length_text(measure).rpartition(" ")
        return figure, last
    if unit not in _STEPS:
        return kept, unit
    return number(to_step(value, _STEPS[unit]) or float(value), LEAST_DIGITS), unit


def eighths(inches: Decimal) -> str:
    """Inches with their eighths as a tape has them: `7 7/8`."""
    rounded = to_step(inches, EIGHTH)
    whole, rest = divmod(abs(rounded), 1)
    top, bottom = rest.as_integer_ratio()
    parts = (number(whole) if whole or not top else "", f"{top}/{bottom}" if top else "")
    return "-" * (rounded < 0) + " ".join(part for part in parts if part)
