"""Words that are wider than the place they stand in: they may be broken anywhere.

A setter of type breaks lines between words. A word of five hundred letters would run off the page,
so a space without width stands between its letters; a reader sees none, and no hyphen that isn't
part of the text.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TypeVar

from service.documents.letters import advance
from service.documents.tree import Blanks, Block, Facts, Figure, Heading, Signatures, Table

T = TypeVar("T")
BREAK = "\u200b"
_MM_PER_PT = 25.4 / 72
# Kept free of what stands beside the text in its place: marks of lists, bars, insets.
_BESIDE_MM = 8.0
# Widths and sizes of type in document.typ.
_TEXT_PT, _HEADING_PT, _CELL_PT = 9.0, 11.5, 8.0
_INSET_MM = 2.2
_NAME_MM, _GAP_MM = 45.0, 4.0
_PARTY_GAP_MM = 12.0


@dataclass(frozen=True, slots=True)
class Room:
    """How wide a place is, and how large its type."""

    width_mm: float
    size_pt: float = _TEXT_PT

    def fit(self, text: str) -> str:
        """A text that doesn't run out of the place."""
        return " ".join(self._word(word) for word in text.split(" "))

    def fit_all(self, texts: tuple[str, ...]) -> tuple[str, ...]:
        """Each of some texts."""
        return tuple(self.fit(text) for text in texts)

    def _word(self, word: str) -> str:
        fits = advance(word, strong=True) * self.size_pt * _MM_PER_PT <= self.width_mm
        return word if fits else BREAK.join(word)


def fitted(block: Block, page_mm: float) -> Block:
    """A block that stands on a page with so much room across."""
    plain = Room(page_mm - _BESIDE_MM)
    match block:
        case Table():
            return _table(block, page_mm)
        case Facts() | Blanks():
            name, value = Room(_NAME_MM), Room(page_mm - _NAME_MM - _GAP_MM)
            if isinstance(block, Blanks):
                value = Room(page_mm / 2 - _NAME_MM - _BESIDE_MM)
            rows = tuple((name.fit(one), value.fit(other)) for one, other in block.rows)
            return replace(block, rows=rows)
        case Signatures():
            count = max(1, len(block.parties))
            party = Room((page_mm - _PARTY_GAP_MM * (count - 1)) / count)
            return replace(block, parties=party.fit_all(block.parties))
        case Heading():
            return replace(block, text=Room(page_mm, _HEADING_PT).fit(block.text))
        case Figure():
            return replace(block, title=plain.fit(block.title))
    return _texts(block, plain)


def _table(table: Table, page_mm: float) -> Table:
    whole = sum(column.share for column in table.columns)
    rooms = [Room(page_mm * column.share / whole - _INSET_MM, _CELL_PT) for column in table.columns]
    return replace(
        table,
        caption=Room(page_mm).fit(table.caption),
        columns=tuple(
            replace(column, title=room.fit(column.title))
            for room, column in zip(rooms, table.columns, strict=True)
        ),
        rows=tuple(
            replace(
                row,
                cells=tuple(room.fit(cell) for room, cell in zip(rooms, row.cells, strict=True)),
            )
            for row in table.rows
        ),
    )


def _texts(block: T, room: Room) -> T:
    """A block of texts that have the width of the page."""
    changed: dict[str, object] = {}
    for field in fields(block):  # type: ignore[arg-type]
        value = getattr(block, field.name)
        if isinstance(value, tuple):
            changed[field.name] = room.fit_all(value)
        elif field.name in {"text", "label"}:
            changed[field.name] = room.fit(value)
    return replace(block, **changed)  # type: ignore[type-var]
