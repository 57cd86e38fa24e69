"""Texts made to fit a width: cut short, and said to be."""

from __future__ import annotations

from collections.abc import Iterable

from service.documents.drawings.canvas import TEXT_MM
from service.documents.letters import advance, printable

_MORE = "…"


def fitted(text: str, width_mm: float, size: float = TEXT_MM, *, strong: bool = False) -> str:
    """A text as far as it fits, an ellipsis in place of the rest."""
    shown = printable(text)
    if advance(shown, strong=strong) * size <= width_mm:
        return shown
    room = width_mm / size - advance(_MORE, strong=strong)
    end = 0
    while end < len(shown) and (wide := advance(shown[end], strong=strong)) <= room:
        room -= wide
        end += 1
    return shown[:end].rstrip() + _MORE


def lines_of(parts: Iterable[str], width_mm: float, size: float = TEXT_MM) -> tuple[str, ...]:
    """Parts in a row with semicolons between them, in as many lines as they take."""
    lines: list[str] = []
    for part in parts:
        longer = f"{lines[-1]}; {part}" if lines else part
        if lines and advance(printable(longer)) * size <= width_mm:
            lines[-1] = longer
        else:
            lines.append(fitted(part, width_mm, size))
    return tuple(lines)
