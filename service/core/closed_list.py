"""Tables that have one row for each word of a closed list: a new word without its row keeps the
service from starting, where it would else be passed over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import TypeVar

Word = TypeVar("Word", bound=str)
Row = TypeVar("Row")


class ListUnevenError(ValueError):
    """A word without its row, a row without its word, or two rows of one word."""


def check_words(words: Iterable[str], found: Iterable[str]) -> None:
    """Hold what was found against the words of a list, each once.

    Raises ListUnevenError.
    """
    asked, given = sorted(words), sorted(found)
    if asked != given:
        raise ListUnevenError(f"wanted: {', '.join(asked)}; found: {', '.join(given)}")


def row_each(words: Iterable[Word], rows: Mapping[Word, Row]) -> Mapping[Word, Row]:
    """The rows, one for each word. Raises ListUnevenError."""
    check_words(words, rows)
    return MappingProxyType(dict(rows))
