"""Where the columns of a supplier's file stand, and the cells of one row by what they hold."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from service.core.errors import Fault
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_rows import ReadRows
from service.operations.prices.worksheet import Cell, Worksheet

COLUMNS: Final = (
    "item",
    "unit_cost",
    "per",
    "pack",
    "description",
    "currency",
    "supplier",
    "group",
    "note",
)

# What follows the digits of a whole number.
_ZEROS = re.compile(r"\.0*$")


@dataclass(frozen=True, slots=True, kw_only=True)
class WorksheetRow:
    """One row: its cells by what they hold."""

    sheet: Worksheet
    number: int
    columns: Mapping[str, int]

    def cell(self, column: str) -> Cell:
        """What a cell holds; None where the column is missing or the row too short."""
        place = self.columns.get(column)
        cells = self.sheet.rows[self.number]
        return None if place is None or place >= len(cells) else cells[place]

    def text(self, column: str) -> str:
        """A cell as text without spaces around it; a whole number without its point."""
        cell = self.cell(column)
        if isinstance(cell, Decimal):
            return _ZEROS.sub("", f"{cell:f}")
        return (cell or "").strip()

    def place(self, column: str) -> str:
        """Where a cell is; of a missing column, where its row begins."""
        return self.sheet.place(self.number, self.columns.get(column, 0))


def find_columns(sheet: Worksheet, mapping: ColumnMapping, reading: ReadRows) -> Mapping[str, int]:
    """Where each column stands. Faults for headings that are missing or stand there twice."""
    row = mapping.header_row - 1
    if row >= len(sheet.rows):
        message = f"the file has no row {mapping.header_row} with headings"
        reading.faults.append(Fault(code="heading-missing", at=(), message=message))
        return {}
    headings = [str(cell or "").strip().casefold() for cell in sheet.rows[row]]
    columns: dict[str, int] = {}
    for name in COLUMNS:
        heading: str = getattr(mapping.columns, name)
        places = [place for place, given in enumerate(headings) if given == heading.casefold()]
        if places:
            columns[name] = places[0]
        if len(places) > 1:
            at = (sheet.place(row, places[1]),)
            message = f"two columns are headed {heading!r}"
            reading.faults.append(Fault(code="heading-twice", at=at, message=message))
    reading.faults += _missing_headings(sheet, mapping, columns)
    return columns


def _missing_headings(
    sheet: Worksheet, mapping: ColumnMapping, columns: Mapping[str, int]
) -> Iterator[Fault]:
    needed = ["item", "unit_cost", *(["per"] if mapping.defaults.per is None else [])]
    row = mapping.header_row - 1
    given = [str(cell).strip() for cell in sheet.rows[row] if cell is not None]
    for name in needed:
        if name not in columns:
            yield Fault(
                code="heading-missing",
                at=(sheet.place(row, 0),),
                message=f"no column is headed {getattr(mapping.columns, name)!r} ({name})",
                hint=f"the headings are: {', '.join(given)[:200]}; the column mapping names them",
            )
