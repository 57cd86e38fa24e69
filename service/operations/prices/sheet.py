"""A supplier's file as rows of cells with their places, and the bounds of any such file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Final, NoReturn

from service.core.errors import Fault, QuoteFaultsError
from service.operations.prices.workbook_child import MOST_CELLS, MOST_COLUMNS, MOST_ROWS

MOST_BYTES: Final = 16 * 1024 * 1024
_LETTERS: Final = 26

Cell = str | Decimal | None


class WorksheetUnreadableError(QuoteFaultsError):
    """The file is not what it says it is, or larger than any price list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worksheet:
    """Rows of cells. `name` is that of the sheet in a workbook, None for CSV, where `lines` are
    the numbers of the lines at which the rows begin. Numbers of a workbook are Decimals; `signs`
    are the currencies and percents that it shows beside them, by row and column from 0."""

    name: str | None
    rows: tuple[tuple[Cell, ...], ...]
    lines: tuple[int, ...]
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    signs: Mapping[tuple[int, int], str] = field(default_factory=lambda: MappingProxyType({}))

    def place(self, row: int, column: int) -> str:
        """What people call a cell: `Prices!C14`, or `line 14, column C`; both from 0."""
        if self.name is None:
            return f"line {self.lines[row]}, column {column_letters(column)}"
        return f"{self.name}!{column_letters(column)}{row + 1}"


def column_letters(column: int) -> str:
    """A column by its letters: 0 is A, 26 is AA."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, _LETTERS)
        letters = chr(ord("A") + rest) + letters
    return letters


def is_blank(cell: Cell) -> bool:
    """Whether a cell has nothing in it."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def check_size(rows: int, columns: int, cells: int) -> None:
    """Raise WorksheetUnreadableError for a sheet that is larger than any price list."""
    if rows > MOST_ROWS or columns > MOST_COLUMNS or cells > MOST_CELLS:
        refuse(
            "file-too-large",
            f"{rows} rows and {columns} columns, {cells} cells, are too many: a sheet may have "
            f"{MOST_ROWS} rows, {MOST_COLUMNS} columns and {MOST_CELLS} cells",
        )


def refuse(code: str, message: str, hint: str | None = None) -> NoReturn:
    """Raise WorksheetUnreadableError for a whole file."""
    raise WorksheetUnreadableError([Fault(code=code, at=(), message=message, hint=hint)])
