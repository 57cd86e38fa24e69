"""The entries that somebody may have meant by a word that is no id."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

LONGEST_WORD = 64
MOST_NAMED = 4
# From here on a word is an id with a slip of the pen; the weaker likeness is a last resort.
MISSPELT = 0.85
# Words that say nothing of what is worked on.
_EMPTY = frozenset({"a", "an", "and", "by", "down", "for", "in", "of", "on", "the", "to", "up"})


def nearest_ids(word: str, documents: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """Ids of the entries that are meant by `word`, most likely first, at most four.

    An entry may be called so (`also`), its id may be all but the same, or its id, title and
    `also` share words with it: the last word counts most, as in `remove_fence`.
    """
    said = word[:LONGEST_WORD].casefold()
    also = [id_ for id_, document in documents.items() if _key(said) in _also(document)]
    close = difflib.get_close_matches(said, documents, 1, MISSPELT)
    found = also or close or _sharing(_words(said), documents)
    return (found or difflib.get_close_matches(said, documents, 1))[:MOST_NAMED]


def _sharing(words: list[str], documents: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """Ids of the entries that have the last word, those first that share more of the others."""
    if not words:
        return []
    known = {id_: _known(id_, document) for id_, document in documents.items()}
    found = [id_ for id_, has in known.items() if words[-1] in has]
    return sorted(found, key=lambda id_: -len(known[id_].intersection(words)))


def _known(id_: str, document: Mapping[str, Any]) -> frozenset[str]:
    texts = (id_, str(document.get("title", "")), *_also(document))
    return frozenset(word for text in texts for word in _words(text))


def _also(document: Mapping[str, Any]) -> Iterable[str]:
    return [_key(str(text)) for text in document.get("also", ())]


def _words(text: str) -> list[str]:
    return [word for word in _key(text).split() if word not in _EMPTY]


@lru_cache(maxsize=2048)  # the words of all entries, which are the same at each look
def _key(text: str) -> str:
    """Words in lower case, parted by blanks, without the s of a plural."""
    kept = "".join(c if c.isalnum() else " " for c in text.casefold())
    return " ".join(re.sub(r"(?<=\w{3})s$", "", word) for word in kept.split())
