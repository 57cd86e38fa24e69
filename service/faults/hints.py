"""Which known word is nearest to an unknown one, for as many as comparing is worth its time."""

from __future__ import annotations

import difflib

LONGEST_WORD = 64
# Pairs of words that are compared for one document: some 30 microseconds each.
MOST_PAIRS = 600


class Hints:
    """The nearest words, for the faults of one document; a word that comes again costs nothing."""

    def __init__(self) -> None:
        self._left = MOST_PAIRS
        self._found: dict[tuple[str, tuple[str, ...]], str | None] = {}

    def nearest(self, word: str, known: tuple[str, ...]) -> str | None:
        """The known word that was meant; None where none is near, or enough were compared."""
        asked = (word, known)
        if asked not in self._found:
            if len(word) > LONGEST_WORD or self._left < len(known):
                return None
            self._left -= len(known)
            close = difflib.get_close_matches(word, known, 1)
            self._found[asked] = close[0] if close else None
        return self._found[asked]
