"""A document with every text as it is printed, units with their signs: the same for all of its
forms."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

from service.core.measure import with_signs
from service.documents.letters import printable
from service.documents.tree import Figure

T = TypeVar("T")
# A drawing is made of letters that were looked at.
_WHOLE = frozenset({(Figure, "svg")})


def printed(part: T) -> T:
    """A part of a document whose texts are printable; what is no text stays as it is."""
    if isinstance(part, str):
        return with_signs(printable(part))  # type: ignore[return-value]
    if isinstance(part, tuple):
        return tuple(printed(entry) for entry in part)  # type: ignore[return-value]
    if not is_dataclass(part) or isinstance(part, type):
        return part
    changed = {
        field.name: printed(getattr(part, field.name))
        for field in fields(part)
        if (type(part), field.name) not in _WHOLE
    }
    return replace(part, **changed)
