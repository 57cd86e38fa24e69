"""What of a caller's text is printed."""

from __future__ import annotations

import unicodedata
from functools import cache

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from service.documents.letters import FONTS, MISSING, printable

# What nobody sees, or what would turn the text around it.
UNSEEN = (
    "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c\ufeff\u00ad\ufe0f"
)


@cache
def font_letters() -> tuple[frozenset[int], ...]:
    """The code points of each shipped font."""
    found = []
    for file in FONTS.glob("*.ttf"):
        with TTFont(file) as font:
            found.append(frozenset(font.getBestCmap()))
    return tuple(found)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("Wall 3 ⅔ in ≤ 4'-6\"", "Wall 3 ⅔ in ≤ 4'-6\""),
        ("Łódź Ωμέγα Жуков קיר جدار", "Łódź Ωμέγα Жуков קיר جدار"),
        ("石 wall 🧱", "□ wall □"),
        ("one\r\ntwo\nthree \t four", "one two three four"),
        ("a\x00b\x07c\x1b[31m", "abc[31m"),
        ("e\u0301", "é"),
        ("\ud800", "□"),
        ("\ue000\U000f0000", "□□"),
        ("wide\u3000space", "wide space"),
        ("  two  blanks ", "two blanks"),
        ("a \x00 b", "a b"),
        ("\xa0\u200d\u2003", ""),
        ("e\u200e\u0301", "é"),
        ("13.064,62\xa0US$", "13.064,62\xa0US$"),
        ("نمی\u200cخواهم", "نمی\u200cخواهم"),
        ("", ""),
    ],
)
def test_printable_keeps_what_the_fonts_have(text: str, printed: str) -> None:
    """Letters of the shipped scripts stay; others are □; controls go; a line break is a space."""
    assert printable(text) == printed


@pytest.mark.parametrize("mark", UNSEEN, ids=lambda mark: f"{ord(mark):04x}")
def test_printable_leaves_out_direction_marks(mark: str) -> None:
    """A mark that turns letters around, or has no shape, is not printed."""
    assert printable(f"12{mark}34") == "1234"


@given(text=st.text(st.characters(exclude_categories=())))
def test_printable_gives_only_letters_of_every_font(text: str) -> None:
    """Whatever the text: each shipped font has each printed letter; printing twice is the same."""
    printed = printable(text)
    assert printable(printed) == printed
    for letters in font_letters():
        assert all(ord(letter) in letters for letter in printed)


@pytest.mark.parametrize(
    ("first", "last"), [(0x20, 0x7E), (0xA1, 0x24F), (0x391, 0x3A1), (0x410, 0x44F), (0x5D0, 0x5EA)]
)
def test_fonts_have_the_scripts(first: int, last: int) -> None:
    """Latin, Greek, Cyrillic and Hebrew are whole; of each assigned letter the shape is there."""
    letters = [chr(code) for code in range(first, last + 1) if chr(code) != "\u00ad"]
    assert MISSING not in printable("".join(filter(unicodedata.name, letters)))


def test_fonts_travel_with_their_license() -> None:
    """The license of the fonts lies beside them."""
    assert "Bitstream Vera" in (FONTS / "LICENSE").read_text(encoding="utf-8")
