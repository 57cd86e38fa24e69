"""Which known word is nearest to an unknown one, for as many as comparing is worth its time."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import Final

LONGEST_WORD: Final = 64
# Words that are compared for one document: some 15 microseconds each.
MOST_PAIRS: Final = 600


class NearWords:
    """The nearest words, for the faults of one document; a word that comes again costs nothing.

    At least the first one is compared, however many words are known. Words that are less like
    than `likeness`, from 0 to 1, are not near.
    """

    def __init__(self, most_pairs: int = MOST_PAIRS, *, likeness: float = 0.6) -> None:
        self._left, self._likeness = most_pairs, likeness
        self._found: dict[tuple[str, tuple[str, ...]], str | None] = {}

    def nearest(self, word: str, known: Sequence[str]) -> str | None:
        """The known word that was meant; None where none is near, or enough were compared."""
        asked = (word, tuple(known))
        if asked not in self._found:
            if len(word) > LONGEST_WORD or self._left <= 0:
                return None
            self._left -= len(known)
            close = difflib.get_close_matches(word, known, 1, self._likeness)
            self._found[asked] = close[0] if close else None
        return self._found[asked]
