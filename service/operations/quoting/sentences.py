"""Figures in sentences for people: rounded for reading, as no cost is multiplied from them.

Arithmetic (`how`) and fields of values keep their digits.
"""

from __future__ import annotations

import re
from collections.abc import Set as AbstractSet
from decimal import Decimal

from service.core.measure import SHOWN_UNITS, UNITS, number
from service.core.rounding import to_step

READING_DIGITS = 3
HUNDREDTH = Decimal("0.01")
_LENGTHS: AbstractSet[str] = frozenset(
    symbol for symbol, unit in UNITS.items() if unit.dimension == "length"
)
# Inches are left out: `in` is a word too (`29 CFR 1926.1153 in force`).
_SYMBOLS = sorted(
    ({*UNITS, *SHOWN_UNITS} - {"in"}) | {"days", "%", "deg", "kPa", "psf", "pcf"}, key=len
)
_FIGURE = re.compile(
    rf"(?<![\w.,:/])([0-9]+\.[0-9]+) ({'|'.join(map(re.escape, reversed(_SYMBOLS)))})(?![\w/])",
    re.ASCII,
)


def for_reading(text: str) -> str:
    """A sentence whose measures have at most three significant digits, lengths hundredths:
    `4.16667 ft` is `4.17 ft`, `19.5805 lb` is `19.6 lb`. What is no measure stays as it is."""
    return _FIGURE.sub(lambda found: f"{_rounded(Decimal(found[1]), found[2])} {found[2]}", text)


def _rounded(value: Decimal, unit: str) -> str:
    """Digits before the point all stand, and no figure is rounded to nothing."""
    least = value.adjusted() - READING_DIGITS + 1
    digits = Decimal(1).scaleb(min(least, 0))
    if unit in _LENGTHS and value >= HUNDREDTH:
        digits = HUNDREDTH
    return number(to_step(value, digits))
