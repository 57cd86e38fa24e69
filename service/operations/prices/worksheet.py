"""A supplier's file as a sheet: cells with their places, read from CSV or from a workbook.

Files come from people one knows with contents one does not. CSV is read strictly and within
bounds; a workbook is looked at as an archive first and then read in a process of its own.
"""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, Final, Literal, NoReturn, assert_never

from service.core.errors import Fault, QuoteFaultsError
from service.operations.prices import workbook_child
from service.operations.prices.workbook_child import MOST_CELLS, MOST_COLUMNS, MOST_ROWS

FileKind = Literal["csv", "xlsx"]
Encoding = Literal["utf-8", "windows-1252"]
MOST_BYTES: Final = 16 * 1024 * 1024
MOST_CHARACTERS: Final = 2_000
MOST_PARTS: Final = 200
MOST_UNPACKED: Final = 64 * 1024 * 1024
MOST_RATIO: Final = 200
WALL_SECONDS: Final = 15
_LETTERS: Final = 26

Cell = str | Decimal | None


class WorksheetUnreadableError(QuoteFaultsError):
    """The file is not what it says it is, or larger than any price list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worksheet:
    """Rows of cells. `name` is that of the sheet in a workbook, None for CSV, where `lines` are
    the numbers of the lines at which the rows begin. Numbers of a workbook are Decimals."""

    name: str | None
    rows: tuple[tuple[Cell, ...], ...]
    lines: tuple[int, ...]

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


def read_worksheet(
    data: bytes,
    kind: FileKind,
    *,
    sheet: str | None = None,
    delimiter: str = ",",
    encoding: Encoding = "utf-8",
) -> Worksheet:
    """The sheet in a file; of a workbook the first one, or that by its name.

    Raises SheetUnreadableError.
    """
    if len(data) > MOST_BYTES:
        _refuse("file-too-large", f"a file may have {MOST_BYTES} bytes at most")
    match kind:
        case "xlsx":
            return _read_workbook(data, sheet or "")
        case "csv":
            return _read_csv(data, delimiter, encoding)
        case _:
            assert_never(kind)


def _read_csv(data: bytes, delimiter: str, encoding: Encoding) -> Worksheet:
    text = _decoded(data, encoding)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[Cell, ...]] = []
    lines: list[int] = []
    cells, line = 0, 1
    try:
        for row in reader:
            cells += len(row)
            _check_size(len(rows) + 1, len(row), cells)
            if any(len(field) > MOST_CHARACTERS for field in row):
                _refuse("file-too-large", f"a field in line {line} is longer than any price")
            rows.append(tuple(row))
            lines.append(line)
            line = reader.line_num + 1
    except csv.Error as error:
        _refuse("csv-invalid", f"line {reader.line_num} is not CSV: {error}")
    return Worksheet(name=None, rows=tuple(rows), lines=tuple(lines))


def _decoded(data: bytes, encoding: Encoding) -> str:
    if data[:4] == b"PK\x03\x04":
        _refuse("csv-invalid", "this is a workbook, not CSV")
    try:
        text = data.decode("utf-8-sig" if encoding == "utf-8" else encoding)
    except UnicodeDecodeError as error:
        message = f"byte {error.start + 1} is not {encoding}"
        hint = 'save the file as "CSV UTF-8", or say encoding in the column mapping'
        _refuse("file-encoding", message, hint)
    if "\0" in text:
        _refuse("csv-invalid", "the file holds the character U+0000, so it is no text")
    return text


def _read_workbook(data: bytes, wanted: str) -> Worksheet:
    _check_archive(data)
    told = _ask_child(data, wanted)
    if told.get("fault") == "no-sheet":
        names = ", ".join(repr(name) for name in told["sheets"])
        _refuse("no-such-sheet", f"there is no sheet {wanted!r}", f"one of: {names}")
    if told.get("fault") == "too-large":
        rows, columns = told["size"]
        _check_size(rows, columns, rows * columns)
    rows = tuple(tuple(_cell(value) for value in row) for row in told["rows"])
    return Worksheet(name=told["sheet"], rows=rows, lines=tuple(range(1, len(rows) + 1)))


def _check_archive(data: bytes) -> None:
    """Look at a workbook as an archive: few parts, and none that unpacks to no end."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
        _refuse("workbook-invalid", "this is no workbook (XLSX)")
    unpacked = sum(part.file_size for part in parts)
    packed = sum(part.compress_size for part in parts)
    if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED or unpacked > MOST_RATIO * (packed + 1):
        _refuse("file-too-large", "the workbook unpacks to more than any price list")
    if any(part.flag_bits & 1 for part in parts):
        _refuse("workbook-invalid", "the workbook is locked with a password")


def _ask_child(data: bytes, wanted: str) -> dict[str, Any]:
    command = [sys.executable, "-I", str(Path(workbook_child.__file__)), wanted]
    hint = "save it again as XLSX with the prices alone, or as CSV UTF-8"
    try:
        done = subprocess.run(  # noqa: S603  our own program
            command, input=data, capture_output=True, check=False, timeout=WALL_SECONDS
        )
    except subprocess.TimeoutExpired:
        _refuse("workbook-invalid", "the workbook takes too long to read", hint)
    except ValueError:
        _refuse("no-such-sheet", f"there is no sheet {wanted!r}")
    if done.returncode:
        _refuse("workbook-invalid", "the workbook can't be read", hint)
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def _cell(value: object) -> Cell:
    """A cell of the child's answer; a number by the digits of its shortest form."""
    if isinstance(value, dict) and "number" in value:
        number = Decimal(value["number"])
        return number if number.is_finite() else value["number"]
    if isinstance(value, dict):
        return str(value["day"])
    if isinstance(value, bool):
        return str(value).upper()
    return None if value is None else str(value)[: MOST_CHARACTERS + 1]


def _check_size(rows: int, columns: int, cells: int) -> None:
    if rows > MOST_ROWS or columns > MOST_COLUMNS or cells > MOST_CELLS:
        _refuse(
            "file-too-large",
            f"a sheet may have {MOST_ROWS} rows, {MOST_COLUMNS} columns and {MOST_CELLS} cells",
        )


def _refuse(code: str, message: str, hint: str | None = None) -> NoReturn:
    raise WorksheetUnreadableError([Fault(code=code, at=(), message=message, hint=hint)])


def is_blank(row: Sequence[Cell]) -> bool:
    """Whether a row has nothing in it."""
    return all(cell is None or (isinstance(cell, str) and not cell.strip()) for cell in row)
