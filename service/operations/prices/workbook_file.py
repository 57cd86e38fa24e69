"""Workbooks (XLSX): looked at as an archive first, then read in a process of its own."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import zipfile
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from service.operations.prices import workbook_child
from service.operations.prices.sheet import Cell, Worksheet, check_size, refuse
from service.operations.prices.workbook_child import MOST_TEXT

MOST_PARTS: Final = 200
MOST_UNPACKED: Final = 64 * 1024 * 1024
MOST_RATIO: Final = 200
WALL_SECONDS: Final = 15
_SAVE_AGAIN: Final = "save it again as XLSX with the prices alone, or as CSV UTF-8"


def read_workbook(data: bytes, wanted: str) -> Worksheet:
    """The sheet with a name; with none the only one that is shown and not empty.

    Raises WorksheetUnreadableError.
    """
    _check_archive(data)
    told = _ask_child(data, wanted)
    _check_told(told, wanted)
    rows = tuple(tuple(_cell(value) for value in row) for row in told["rows"])
    return Worksheet(
        name=told["sheet"],
        rows=rows,
        lines=tuple(range(1, len(rows) + 1)),
        hidden_rows=frozenset(told["hidden_rows"]),
        hidden_columns=frozenset(told["hidden_columns"]),
        signs={(row, column): sign for row, column, sign in told["signs"]},
    )


def _check_told(told: dict[str, Any], wanted: str) -> None:
    """Raise WorksheetUnreadableError for what the child could not choose or read."""
    names = ", ".join(repr(name) for name in told.get("sheets", ()))
    match told.get("fault"):
        case "no-sheet":
            refuse("no-such-sheet", f"there is no sheet {wanted!r}", f"one of: {names}")
        case "sheet-unclear":
            hint = f"say sheet in the column mapping, one of: {names}"
            refuse("sheet-unclear", "several sheets of the workbook are filled", hint)
        case "too-much-text":
            refuse("file-too-large", f"a sheet may hold {MOST_TEXT} characters", _SAVE_AGAIN)
        case "too-large":
            rows, columns = told["size"]
            check_size(rows, columns, rows * columns)


def _check_archive(data: bytes) -> None:
    """Look at a workbook as an archive: few parts, and none that unpacks to no end."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
        refuse("workbook-invalid", "this is no workbook (XLSX)", _SAVE_AGAIN)
    unpacked = sum(part.file_size for part in parts)
    packed = sum(part.compress_size for part in parts)
    if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED or unpacked > MOST_RATIO * (packed + 1):
        refuse("file-too-large", "the workbook unpacks to more than any price list")
    if any(part.flag_bits & 1 for part in parts):
        refuse("workbook-invalid", "the workbook is locked with a password")


def _ask_child(data: bytes, wanted: str) -> dict[str, Any]:
    command = [sys.executable, "-I", str(Path(workbook_child.__file__)), wanted]
    try:
        done = subprocess.run(  # noqa: S603  our own program
            command, input=data, capture_output=True, check=False, timeout=WALL_SECONDS
        )
    except subprocess.TimeoutExpired:
        refuse("workbook-invalid", "the workbook takes too long to read", _SAVE_AGAIN)
    except ValueError:
        refuse("no-such-sheet", f"there is no sheet {wanted!r}")
    if done.returncode:
        refuse("workbook-invalid", "the workbook can't be read", _SAVE_AGAIN)
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
    return None if value is None else str(value)
