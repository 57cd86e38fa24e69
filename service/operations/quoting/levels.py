"""Levels as people read them: elevations, and rod readings in the writing in which they came."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from msgspec import UnsetType

from service.core.measure import UNITS, number
from service.core.rounding import to_step
from service.operations.answer_figures import Measure
from service.operations.readable import eighths, length_text

FEET_AND_INCHES = "ft in"
# To what a level is read: hundredths of a foot, millimeters (common practice).
_READ_TO: Mapping[str, Decimal] = MappingProxyType(
    {
        "ft": Decimal("0.01"),
        "yd": Decimal("0.01"),
        "m": Decimal("0.001"),
        "cm": Decimal("0.1"),
        "mm": Decimal(1),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """How the levels of one answer are written: in a unit, or in feet and inches together."""

    what: str
    written_in: str

    def text(self, level: Measure) -> str:
        """A level with its name: `level 12 ft 3 in`, `rod reading 6.42 ft`."""
        return f"{self.what} {self.figure(level)}"

    def figure(self, level: Measure) -> str:
        """A level as it is read."""
        unit = self.written_in
        if unit == FEET_AND_INCHES:
            return length_text(Measure(_in_unit(level, "ft"), "ft"))
        if unit == "in":
            return f"{eighths(Decimal(_in_unit(level, unit)))} in"
        return f"{number(to_step(Decimal(_in_unit(level, unit)), _READ_TO[unit]))} {unit}"


def levels_of(levels_are: str | UnsetType, unit: str, rods_in: str | None) -> Levels:
    """How an answer's levels are written, by what it says of them; lengths are in a unit. `rods_in`
    is what `rod_writing` says of its request."""
    if levels_are == "rod":
        return Levels(what="rod reading", written_in=rods_in or unit)
    return Levels(what="level", written_in=FEET_AND_INCHES if unit == "ft" else unit)


def rod_writing(document: Any) -> str | None:  # noqa: ANN401  a quote request as JSON has it
    """In what a request writes its rod readings: feet and inches where one has both, else the
    unit of the first; None where its levels are elevations."""
    if document.get("levels_are") != "rod":
        return None
    entries = [entry for wall in document["walls"] for entry in wall["profile"]]
    given = [entry[key] for entry in entries for key in ("front_grade", "top") if key in entry]
    both = any(isinstance(level, str) and " ft " in level for level in given)
    return FEET_AND_INCHES if both else _unit(given[0])


def _unit(level: str | Mapping[str, str]) -> str:
    return level["unit"] if isinstance(level, Mapping) else level.rpartition(" ")[2]


def _in_unit(level: Measure, symbol: str) -> str:
    return str(Decimal(level.value) * UNITS[level.unit].si / UNITS[symbol].si)
