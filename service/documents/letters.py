"""Which letters a document can print: those of the shipped fonts; any other is a box.

Control characters and marks of direction are left out, a line break is a space: what a caller
wrote stays in its line, in every form alike.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import as_file, files

from fontTools.ttLib import TTFont

MISSING = "□"
_FONTS = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
# Cc: control; Cf: format, marks of direction among it; Cs, Co, Cn: halves, private, unassigned.
_LEFT_OUT = frozenset({"Cc", "Cf"})


def printable(text: str) -> str:
    """A text as it is printed, whatever the form."""
    plain = " ".join(unicodedata.normalize("NFC", text).split())
    return "".join(_letter(letter) for letter in plain)


def _letter(letter: str) -> str:
    if letter.isascii() and letter.isprintable():
        return letter
    if unicodedata.category(letter) in _LEFT_OUT:
        return ""
    return letter if ord(letter) in coverage() else MISSING


@lru_cache(maxsize=1)
def coverage() -> frozenset[int]:
    """The code points that every shipped font has."""
    return frozenset.intersection(*(_code_points(name) for name in _FONTS))


def _code_points(name: str) -> frozenset[int]:
    with as_file(files("service.documents") / "fonts" / name) as path, TTFont(path) as font:
        return frozenset(font.getBestCmap())


def advance(text: str, *, strong: bool = False) -> float:
    """How wide a text is set, in parts of its size."""
    widths = _widths(_FONTS[1] if strong else _FONTS[0])
    return sum(widths.get(ord(letter), 1.0) for letter in text)


@lru_cache(maxsize=2)
def _widths(name: str) -> Mapping[int, float]:
    """Advances of a font by code point, in parts of its size."""
    with as_file(files("service.documents") / "fonts" / name) as path, TTFont(path) as font:
        advances, size = font["hmtx"].metrics, font["head"].unitsPerEm
        return {code: advances[glyph][0] / size for code, glyph in font.getBestCmap().items()}
