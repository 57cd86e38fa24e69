"""Text that goes into a file which spreadsheet programs open."""

from __future__ import annotations

# What such programs take for the beginning of a formula, full-width forms included.
LEAD_INS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def as_text(text: str | None) -> str:
    """A text that stays one: an apostrophe goes before what would be read as a formula.

    Numbers are not text and don't come through here.
    """
    if text is None:
        return ""
    return f"'{text}" if text.startswith(LEAD_INS) else text
