"""Figures that a place states in its cautions, in the units of the request.

A place marks each by braces: `over {4 ft}`. What it states in other units stays in brackets.
"""

from __future__ import annotations

import re

from service.core.measure import SHOWN_UNITS, UNITS, UNITS_OF, UnitSet

MARKED_UNITS = {
    symbol: unit
    for symbol, unit in {**UNITS, **SHOWN_UNITS}.items()
    if any(symbol in members for members in UNITS_OF.values())
}
_SYMBOLS = "|".join(map(re.escape, sorted(MARKED_UNITS, key=len, reverse=True)))
MARK = re.compile(rf"\{{([0-9]+(?:\.[0-9]+)?) ({_SYMBOLS})\}}", re.ASCII)
# Inches without a mark pass: `in` is a word too (`call 811 in the US`).
_UNMARKED = re.compile(
    rf"(?<![\w.])[0-9]+(?:\.[0-9]+)? (?!in\b)(?:{_SYMBOLS})(?![\w/])|\{{[^{{}}]*\}}?|\}}", re.ASCII
)


def stated(text: str, units: UnitSet) -> str:
    """A place's words: `{4 ft}` as `4 ft`, or as `1.2192 m (4 ft)` where the request is metric
    (rule 22.12)."""
    return MARK.sub(lambda mark: _figure(mark[1], mark[2], units), text)


def unmarked(text: str) -> str | None:
    """The first figure that hangs on units and has no mark, `4 ft`, or braces that mark none."""
    found = _UNMARKED.search(MARK.sub("", text))
    return found[0] if found else None


def _figure(figure: str, symbol: str, units: UnitSet) -> str:
    if symbol in UNITS_OF[units.name]:
        return f"{figure} {symbol}"
    unit = MARKED_UNITS[symbol]
    shown = units.show(float(figure) * float(unit.si), unit.dimension)
    return f"{shown} ({figure} {symbol})"
