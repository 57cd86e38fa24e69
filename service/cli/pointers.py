"""Places of a request in words: pointers are for programs."""

from __future__ import annotations

from decimal import Decimal

_ONE_OF = {"walls": "wall", "profile": "profile entry", "plan": "part of the plan"}


def words_of(pointer: str) -> str:
    """A JSON pointer as people say it: `/walls/0/ends/start` is `wall 1, ends, start`.

    What is no pointer comes back as it is.
    """
    if not pointer.startswith("/"):
        return pointer
    words: list[str] = []
    for part in pointer.removeprefix("/").split("/"):
        if part.isdecimal() and words:
            words[-1] = f"{_ONE_OF.get(words[-1], words[-1])} {Decimal(part) + 1}"
        else:
            words.append(part.replace("_", " ") if part not in _ONE_OF else part)
    return ", ".join(words)
