"""Slopes as text, into rise over run."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from functools import lru_cache

from service.units.factor import EXACT
from service.units.measure import parse_measure
from service.units.refusal import MeasurementInvalidError, found
from service.units.rewriting import rewritten

LONGEST_SLOPE = 20

SLOPE_EXAMPLES = ("3:1", "12 deg", "20 %", "level")

SLOPE_PATTERN = (
    r"^(?:level|(-?)(?:([0-9]{1,4}(?:\.[0-9]{1,4})?):([0-9]{1,4}(?:\.[0-9]{1,4})?)"
    r"|([0-8]?[0-9](?:\.[0-9]{1,6})?) deg|([0-9]{1,5}(?:\.[0-9]{1,6})?) %))$"
)

_SLOPE = re.compile(SLOPE_PATTERN, re.ASCII)


def parse_slope(value: object) -> float:
    """A slope as rise over run: `"3:1"` (horizontal:vertical), `"12 deg"`, `"20 %"`, `"level"`;
    a leading minus turns it round. Never vertical.

    Raises MeasurementInvalidError for everything else, bare numbers included.
    """
    if isinstance(value, str) and len(value) <= LONGEST_SLOPE:
        return _parse_slope_text(value)
    bare = isinstance(value, (int, float, Decimal)) and not isinstance(value, bool)
    raise _slope_refused(value, "is a bare number" if bare else "is not a slope")


@lru_cache(maxsize=1024)
def _parse_slope_text(text: str) -> float:
    match = _SLOPE.fullmatch(text)
    if match is None:
        refused, near = _slope_refused(text, "is not a slope"), rewritten(text, (_SLOPE,))
        raise refused.hinting(f'did you mean "{near}"?') if near else refused
    sign, run, rise, degrees, percent = match.groups()
    if run is not None and not (Decimal(run) and Decimal(rise)):
        raise _slope_refused(text, "has a 0")
    if degrees is not None:
        # 15 digits: so 45 deg is 1:1 exactly, which the tangent of a float just misses.
        size = float(f"{math.tan(parse_measure(f'{degrees} deg', 'angle')):.15g}")
    elif percent is not None:
        size = float(Decimal(percent) / 100)
    else:
        size = float(EXACT.divide(Decimal(rise), Decimal(run))) if run else 0.0
    return -size if sign and size else size


def _slope_refused(value: object, why: str) -> MeasurementInvalidError:
    shown = ", ".join(f'"{example}"' for example in SLOPE_EXAMPLES)
    return MeasurementInvalidError(
        f"{found(value)} {why}; write it like {shown}",
        "horizontal:vertical with neither 0, degrees below 90, per cent, or level",
    )
