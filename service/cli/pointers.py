"""Places of a request in words: pointers are for programs."""

from __future__ import annotations

from decimal import Decimal

from service.operations.readable import lengths_read

_ONE_OF = {"walls": "wall", "profile": "profile entry", "plan": "plan part"}
_FILE = "catalog: "


def words_of(place: str) -> str:
    """A JSON pointer as people say it: `/walls/0/ends/start` is `wall 1, ends, start`; a place in
    a file of the catalog likewise."""
    if place.startswith(_FILE):
        return _said(place.removeprefix(_FILE).replace("/", ", ").replace(".", ", "))
    if not place.startswith("/"):
        return place
    words: list[str] = []
    for part in place.removeprefix("/").split("/"):
        if part.isdecimal() and words:
            words[-1] = f"{_ONE_OF.get(words[-1], words[-1])} {Decimal(part) + 1}"
        else:
            words.append(part if part in _ONE_OF else _said(part))
    return ", ".join(words)


def fault_words(place: str, message: str, whole: str = "the whole request") -> str:
    """A fault with its place in words, which its message may begin with; `whole` is what it is of
    where it has no place."""
    said = lengths_read(message)
    if not place:
        return f"{whole}: {said}"
    *before, last = place.split("/")
    named = f"{before[-1]}[{last}]" if last.isdecimal() else last
    return f"{words_of(place)}: {said.removeprefix(f'{named}: ')}"


def _said(name: str) -> str:
    return name.replace("_", " ")
