"""Slopes of cuts, written horizontal:vertical; either figure may be a fraction."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from service.core.fraction import Fraction
from service.fields import JsonObject, Reader, refused
from service.units import found

_FIGURE = r"[0-9]{1,4}(?:\.[0-9]{1,4}|/[1-9][0-9]{0,3})?"
_PATTERN = rf"^{_FIGURE}:{_FIGURE}$"
_HINT = 'horizontal:vertical, such as "1:1", "3/4:1" or "1.5:1"; "0:1" is a vertical cut'


@dataclass(frozen=True, slots=True)
class RunPerRise(Reader):
    """A cut slope as text; run over rise afterwards (0 is vertical)."""

    def read(self, value: object) -> float:
        """Run over rise."""
        if not isinstance(value, str) or not re.fullmatch(_PATTERN, value, re.ASCII):
            raise refused("slope-invalid", f"{found(value)} is not the slope of a cut", _HINT)
        run, _, rise = value.partition(":")
        if not Fraction(rise):
            raise refused("slope-invalid", f"{found(value)} has no rise", _HINT)
        return float(Fraction(run) / Fraction(rise))

    def schema(self) -> JsonObject:
        """Text in one form."""
        return {
            "type": "string",
            "maxLength": 24,
            "pattern": _PATTERN,
            "description": f"Slope of a cut: {_HINT}.",
            "examples": ["1:1", "3/4:1"],
        }


RunPerRiseText = Annotated[float, RunPerRise()]
