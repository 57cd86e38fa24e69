"""Spellings that are near an item: what somebody meant who wrote a word that is none."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from typing import Final

# A hint is found by looking at each known word: for so many words, and of so many.
_HINTED: Final = 100
_COMPARED: Final = 2000
_SPELLED: Final = 20_000


class NearItems:
    """Known words, and their spellings with one letter less."""

    def __init__(self, words: Iterable[str]) -> None:
        self._words = sorted(words)
        self._spellings: dict[str, str] = {}
        self._hinted = 0

    def slip(self, word: str) -> str | None:
        """The known word that another one is by a slip of the pen: one letter more, less or
        other, or two changed about. Words with other numbers are other things."""
        if not self._spellings:
            known = self._words[:_SPELLED]
            self._spellings = {each: word for word in known for each in _spellings(word)}
        for spelling in _spellings(word):
            near = self._spellings.get(spelling)
            if near is not None and near != word and _numbers(near) == _numbers(word):
                return near
        return None

    def hint(self, word: str) -> str:
        """The known word most like another one, as the beginning of a hint; may be empty."""
        self._hinted += 1
        if self._hinted > _HINTED:
            return ""
        by_plain = {known.casefold(): known for known in self._words[:_COMPARED]}
        close = difflib.get_close_matches(word[:64].casefold(), by_plain, 1)
        return f"did you mean {by_plain[close[0]]}? " if close else ""


def _spellings(word: str) -> Iterator[str]:
    """A word, and what is left of it without one of its letters."""
    yield word
    for place in range(len(word)):
        yield word[:place] + word[place + 1 :]


def _numbers(word: str) -> list[str]:
    return re.findall("[0-9]+", word)
