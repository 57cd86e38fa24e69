"""Which of the languages of pages somebody reads, by `Accept-Language` (RFC 9110, 12.5.4)."""

from __future__ import annotations

import re
from typing import get_args

from service.documents.tree import Language

_RANGE = re.compile(r"([a-z]{1,8})(?:-[a-z0-9]{1,8})*(?:;q=([01](?:\.[0-9]{0,3})?))?", re.ASCII)
_MOST_RANGES = 20


def preferred_language(accepts: str) -> Language:
    """The language that is liked best; English where none of them is named."""
    best: tuple[float, Language] = (0.0, "en")
    for part in accepts.lower().replace(" ", "").split(",")[:_MOST_RANGES]:
        found = _RANGE.fullmatch(part)
        for language in get_args(Language):
            if found and found[1] == language:
                quality = float(found[2] or 1)
                best = max(best, (quality, language), key=lambda entry: entry[0])
    return best[1]
