"""A document with every text as it can be printed: the same for all of its forms."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

from service.documents.letters import printable
from service.documents.tree import Figure, Logo

T = TypeVar("T")
# Drawings and pictures are made of letters that were looked at, or are no text at all.
_WHOLE = (Figure, Logo)


def printed(part: T) -> T:
    """A part of a document whose texts are printable; what is no text stays as it is."""
    if isinstance(part, str):
        return printable(part)  # type: ignore[return-value]
    if isinstance(part, tuple):
        return tuple(printed(entry) for entry in part)  # type: ignore[return-value]
    if isinstance(part, _WHOLE) or not is_dataclass(part) or isinstance(part, type):
        return part
    changed = {
        field.name: printed(value)
        for field in fields(part)
        if isinstance(value := getattr(part, field.name), (str, tuple)) or is_dataclass(value)
    }
    return replace(part, **changed)
