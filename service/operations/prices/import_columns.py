"""Where the columns of a supplier's file stand, and the cells of one row by what they hold."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from service.core.errors import Fault
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.csv_file import BROKEN
from service.operations.prices.import_rows import ReadRows
from service.operations.prices.sheet import Cell, Worksheet, is_blank
from service.operations.prices.workbook_child import MOST_CHARACTERS

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
_DELIMITERS: Final = {";": ";", "\t": "\\t", "|": "|", ",": ","}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorksheetRow:
    """One row: its cells by what they hold. `headings` are those of all columns."""

    sheet: Worksheet
    number: int
    columns: Mapping[str, int]
    headings: Sequence[str]

    def cell(self, column: str) -> Cell:
        """What a cell holds; None where the column is missing or the row too short."""
        place = self.columns.get(column)
        cells = self.sheet.rows[self.number]
        return None if place is None or place >= len(cells) else cells[place]

    def text(self, column: str) -> str:
        """A cell as text without spaces around it; a whole number without its point. A text that
        can't be read is none."""
        cell = self.cell(column)
        if isinstance(cell, Decimal):
            return _ZEROS.sub("", f"{cell:f}")
        return "" if self.fault_in(column) else (cell or "").strip()

    def sign(self, column: str) -> str:
        """The currency or percent that a workbook shows beside a number."""
        return self.sheet.signs.get((self.number, self.columns.get(column, -1)), "")

    def place(self, column: str) -> str:
        """Where a cell is; of a missing column, where its row begins."""
        return self.sheet.place(self.number, self.columns.get(column, 0))

    def is_blank(self) -> bool:
        """Whether no cell that is read has anything in it."""
        return all(is_blank(self.cell(column)) for column in self.columns)

    def is_hidden(self) -> bool:
        """Whether a workbook hides the row."""
        return self.number in self.sheet.hidden_rows

    def moved_heading(self) -> Fault | None:
        """The fault of headings that stand again, in other columns: below them is another table."""
        again = {name: self._is_heading(name) for name in self.columns}
        if not again["item"] or all(again.values()):
            return None
        column = next(name for name, same in again.items() if not same)
        return Fault(
            code="headings-again",
            at=(self.place(column),),
            message="the headings stand again here, in other columns",
            hint="send the two tables as files of their own",
        )

    def _is_heading(self, column: str) -> bool:
        """Whether a cell says what its column is headed."""
        heading = self.headings[self.columns[column]]
        return _plain(self.text(column)).casefold() == heading.casefold()

    def surplus(self) -> Fault | None:
        """The fault of a row of text with more cells than there are headings: what stands right
        of a delimiter that was meant as part of a cell is read in the wrong columns."""
        cells = len(self.sheet.rows[self.number])
        width = len(self.headings)
        if self.sheet.name is not None or cells <= width:
            return None
        return Fault(
            code="row-too-long",
            at=(self.sheet.place(self.number, width),),
            message=f"the row has {cells} cells under {width} headings",
            hint="a cell with the delimiter in it, such as a decimal comma, stands in quotes; "
            "or say delimiter in the column mapping",
        )

    def fault_in(self, column: str) -> Fault | None:
        """Why a cell can't be read at all, if it can't."""
        cell = self.cell(column)
        if not isinstance(cell, str):
            return None
        if len(cell) > MOST_CHARACTERS:
            message = f"{len(cell)} characters are no {column}"
            hint = f"at most {MOST_CHARACTERS} characters are read"
            return Fault(code="too-long", at=(self.place(column),), message=message, hint=hint)
        if _is_broken(cell):
            message = "the cell holds a byte that is no character"
            hint = 'save the file as "CSV UTF-8", or say encoding in the column mapping'
            return Fault(code="file-encoding", at=(self.place(column),), message=message, hint=hint)
        return None


def _is_broken(text: str) -> bool:
    """Whether a text has bytes that are no characters."""
    return BROKEN in text or "\0" in text


def find_columns(sheet: Worksheet, mapping: ColumnMapping, reading: ReadRows) -> Mapping[str, int]:
    """Where each column stands. Faults for headings that are missing, stand there twice or are
    hidden."""
    row = mapping.header_row - 1
    if row >= len(sheet.rows):
        message = f"the file has no row {mapping.header_row} with headings"
        hint = "header_row of the column mapping is the row with the headings"
        reading.faults.append(Fault(code="heading-missing", at=(), message=message, hint=hint))
        return {}
    headings = find_headings(sheet, mapping)
    columns: dict[str, int] = {}
    for name in COLUMNS:
        wanted = _plain(getattr(mapping.columns, name)).casefold()
        places = [place for place, given in enumerate(headings) if given.casefold() == wanted]
        if places:
            columns[name] = places[0]
        if len(places) > 1:
            message = f"two columns are headed {getattr(mapping.columns, name)!r}"
            hint = "give one of them another heading, or take it out of the file"
            reading.fault("heading-twice", sheet.place(row, places[1]), message, hint)
    reading.faults += _missing_headings(sheet, mapping, columns, headings)
    reading.faults += _hidden_headings(sheet, mapping, columns)
    return columns


def find_headings(sheet: Worksheet, mapping: ColumnMapping) -> Sequence[str]:
    """The heading of each column: what stands in the heading rows, joined. Columns that are
    passed over have none."""
    rows = sheet.rows[max(0, mapping.header_row - mapping.header_rows) : mapping.header_row]
    passed = sheet.hidden_columns if mapping.hidden == "skip" else frozenset()
    return [
        ""
        if column in passed
        else _plain(" ".join(str(row[column] or "") for row in rows if column < len(row)))
        for column in range(max(len(row) for row in rows))
    ]


def _plain(heading: str) -> str:
    """A heading in one line, with single spaces."""
    return " ".join(heading.split())


def _missing_headings(
    sheet: Worksheet, mapping: ColumnMapping, columns: Mapping[str, int], headings: Sequence[str]
) -> Iterator[Fault]:
    needed = ["item", "unit_cost", *(["per"] if mapping.defaults.per is None else [])]
    if mapping.absent_items == "remove" and mapping.defaults.supplier is None:
        needed.append("supplier")
    row = mapping.header_row - 1
    for name in needed:
        if name not in columns:
            yield Fault(
                code="heading-missing",
                at=(sheet.place(row, 0),),
                message=f"no column is headed {getattr(mapping.columns, name)!r} ({name})",
                hint=_heading_hint(headings, mapping, sheet.rows[row]),
            )


def _heading_hint(headings: Sequence[str], mapping: ColumnMapping, row: Sequence[Cell]) -> str:
    """What may be wrong with the headings: the delimiter, the encoding, the mapping's words. A tab
    is seen in the row as it came alone."""
    given = [heading for heading in headings if heading]
    if len(given) == 1:
        for sign, name in _DELIMITERS.items():
            if sign != mapping.delimiter and sign in "".join(str(cell or "") for cell in row):
                return f'cells are parted by "{name}": say delimiter in the column mapping'
    if any(_is_broken(heading) for heading in given):
        return "a heading holds bytes that are no characters: say encoding in the column mapping"
    return f"the headings are: {', '.join(given)[:200]}; the column mapping names them"


def _hidden_headings(
    sheet: Worksheet, mapping: ColumnMapping, columns: Mapping[str, int]
) -> Iterator[Fault]:
    """Columns that a workbook hides, where nobody said what becomes of them."""
    if mapping.hidden != "refuse":
        return
    for name, column in columns.items():
        if column in sheet.hidden_columns:
            at = (sheet.place(mapping.header_row - 1, column),)
            message = f"the column for {name} is hidden in the workbook"
            hint = "show it, or say hidden in the column mapping: read or skip"
            yield Fault(code="hidden-in-workbook", at=at, message=message, hint=hint)
