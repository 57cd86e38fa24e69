"""Places along the plan line and distances from it, as a request writes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from service.core.job.spec import Station
from service.fields import JsonObject, Measured, Reader, refused
from service.operations.quoting.plan_request import MOST_PARTS
from service.units import found


@dataclass(frozen=True, slots=True)
class StationText(Reader):
    """A length, `"end"`, or `{"after": 2}` (the end of the second plan part)."""

    def read(self, value: object) -> Station:
        """The station."""
        if value == "end":
            return Station(kind="end")
        # Nearly all are text, of which it is quicker to know that it is no mapping.
        if not isinstance(value, str) and isinstance(value, Mapping) and "after" in value:
            return _after(value)
        return Station(kind="at", at_m=_DISTANCE.read(value))

    def schema(self) -> JsonObject:
        """Any of the three forms."""
        after = {
            "type": "object",
            "properties": {"after": {"type": "integer", "minimum": 1, "maximum": MOST_PARTS}},
            "required": ["after"],
            "additionalProperties": False,
        }
        length = _DISTANCE.schema()
        return {
            "anyOf": [*length["anyOf"], {"const": "end", "type": "string"}, after],
            "description": "Distance along the plan from its start; `end`; or after a plan part.",
            "examples": ["0 ft", "end", {"after": 2}],
        }


def _after(value: Mapping[Any, Any]) -> Station:
    part = value["after"]
    whole = isinstance(part, int) and not isinstance(part, bool)
    if len(value) > 1 or not whole or not 1 <= part <= MOST_PARTS:
        message = f"{found(str(value))} is not a station"
        raise refused("station-invalid", message, 'the number of a plan part, {"after": 2}')
    return Station(kind="after", part=part)


_DISTANCE = Measured("length", "not_negative")

AnyStation = Annotated[Station, StationText()]


@dataclass(frozen=True, slots=True)
class GradedText(Reader):
    """`to_existing`, or a distance from the plan line."""

    def read(self, value: object) -> float | None:
        """The distance in meters; None goes on to existing ground."""
        return None if value == TO_EXISTING else _DISTANCE.read(value)

    def write(self, value: float | None) -> str:
        """The distance as it is read again."""
        return TO_EXISTING if value is None else _DISTANCE.write(value)

    def schema(self) -> JsonObject:
        """Either form."""
        length = _DISTANCE.schema()
        return {
            "anyOf": [*length["anyOf"], {"const": TO_EXISTING, "type": "string"}],
            "description": "A distance from the plan line, or until it meets existing ground.",
            "examples": [TO_EXISTING, "5 ft"],
        }


TO_EXISTING = "to_existing"

Graded = Annotated[float | None, GradedText()]
