"""The right writing that is nearest to a text which can't be read as a measurement or slope."""

from __future__ import annotations

import re
from collections.abc import Iterable

LONGEST_REWRITTEN = 40
# Marks and words as people write them, and the symbols that are read (common practice).
_WRITTEN = tuple(
    (re.compile(written), symbol)
    for written, symbol in (
        (r"''|[\"″”“]", " in "),
        (r"['′’‘]", " ft "),
        (r"\b(?:square|sq)\.? ?(?:feet|foot|ft)\b|\bs\.?f\.?(?![a-z])|\bft²|\bft\^2", " ft2 "),
        (r"\b(?:square|sq)\.? ?(?:yards?|yd)\b|\bsy\b", " yd2 "),
        (r"\b(?:square|sq)\.? ?(?:meters?|metres?|m)\b|\bm²|\bm\^2", " m2 "),
        (r"\b(?:cubic|cu)\.? ?(?:feet|foot|ft)\b|\bcf\b|\bft³|\bft\^3", " ft3 "),
        (r"\b(?:cubic|cu)\.? ?(?:yards?|yds?)\b|\bcy\b|\byd³|\byd\^3", " yd3 "),
        (r"\b(?:cubic|cu)\.? ?(?:meters?|metres?|m)\b|\bm³|\bm\^3", " m3 "),
        (r"\b(?:feet|foot|l\.?f\.?|ft\.)(?![a-z])", " ft "),
        (r"\b(?:inch(?:es)?|ins?\.|ins)(?![a-z])", " in "),
        (r"\b(?:yards?|yds)\b", " yd "),
        (r"\b(?:meters?|metres?)\b", " m "),
        (r"\b(?:pounds?|lbs?\.?)(?![a-z/])", " lb "),
        (r"\btons\b", " ton "),
        (r"\b(?:degrees?|degs)\b|°", " deg "),
        (r"\bper ?cent\b|%", " % "),
    )
)
_GROUPED = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_COMMA = re.compile(r"(?<=\d),(?=\d)")
# A digit parts a number from the unit that follows it without a blank.
_UNIT = re.compile(r"(?<=\d)(?=[a-z])(?<!ft[23])(?<!yd[23])(?<!m[23])")
_RATIO = re.compile(r"\s*:\s*")
_DASH = re.compile(r"(?<=ft)\s*-\s*(?=\d)|(?<=\d)-(?=\d+/\d)")
_DIGIT = re.compile(r"\d")


def rewritten(text: str, readable: Iterable[re.Pattern[str]]) -> str | None:
    """The text with marks, words and blanks as they are read, if one of the patterns then fits."""
    if len(text) > LONGEST_REWRITTEN or not _DIGIT.search(text):
        return None
    said = _COMMA.sub(".", _GROUPED.sub("", text.strip().casefold()))
    said = _UNIT.sub(" ", said)
    for written, symbol in _WRITTEN:
        said = written.sub(symbol, said)
    said = _DASH.sub(" ", _RATIO.sub(":", said))
    said = " ".join(said.split())
    found = said if said != text else None
    return found if found and any(pattern.fullmatch(found) for pattern in readable) else None
