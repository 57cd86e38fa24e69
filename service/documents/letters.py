"""Which letters a document can print: those of the shipped fonts; any other is a box.

Control characters and marks of direction are left out, a line break is a space: what a caller
wrote stays in its line, in every form alike.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

MISSING = "□"
# The shipped fonts: one family, regular and bold.
FONTS = Path(__file__).resolve().parent / "fonts"
_REGULAR, _BOLD = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"
_BREAKS = frozenset("\n\r\t\v\f\x1c\x1d\x1e\x85\u2028\u2029")
# They join or part letters inside a word, as Persian writes them.
_JOINERS = "\u200c\u200d"
_EDGES = re.compile(rf"^[\s{_JOINERS}]+|[\s{_JOINERS}]+$")


def printable(text: str) -> str:
    """A text as it is printed, whatever the form."""
    seen = "".join(map(_seen, text))
    shaped = "".join(map(_shaped, unicodedata.normalize("NFC", seen)))
    return _EDGES.sub("", re.sub(" {2,}", " ", shaped))


@lru_cache(maxsize=4096)
def _seen(letter: str) -> str:
    """A letter that takes room, a blank, or nothing. Cc: control; Cf: format, marks of direction
    among it."""
    kind = unicodedata.category(letter)
    if letter in _BREAKS:
        return " "
    if kind in {"Cc", "Cf"}:
        return letter if letter in _JOINERS else ""
    if kind == "Zs":
        return letter if ord(letter) in coverage() else " "
    return "" if "VARIATION SELECTOR" in unicodedata.name(letter, "") else letter


@lru_cache(maxsize=4096)
def _shaped(letter: str) -> str:
    """A letter, or a box in its place. Cs, Co, Cn: halves, private, not assigned."""
    known = unicodedata.category(letter) not in {"Cn", "Co", "Cs"}
    return letter if known and ord(letter) in coverage() else MISSING


@lru_cache(maxsize=1)
def coverage() -> frozenset[int]:
    """The code points that every shipped font has."""
    return frozenset(_widths(_REGULAR)).intersection(_widths(_BOLD))


def advance(text: str, *, strong: bool = False) -> float:
    """How wide a text is set, in parts of its size."""
    widths = _widths(_BOLD if strong else _REGULAR)
    return sum(widths.get(ord(letter), 1.0) for letter in text)


@lru_cache(maxsize=2)
def _widths(name: str) -> Mapping[int, float]:
    """Advances of a font by code point, in parts of its size."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - loaded when a document is made

    with TTFont(FONTS / name) as font:
        advances, size = font["hmtx"].metrics, font["head"].unitsPerEm
        return {code: advances[glyph][0] / size for code, glyph in font.getBestCmap().items()}
