"""A sheet as CSV (RFC 4180): decimals with a point, and no cell that a program would calculate."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

from service.documents.letters import printable
from service.documents.sheets import Cell, Sheet
from service.documents.spreadsheet_text import as_text


def csv_file(sheet: Sheet) -> bytes:
    """The sheet, UTF-8, titles first."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([as_text(printable(title)) for title in sheet.titles])
    for row in sheet.rows:
        writer.writerow([_written(cell) for cell in row])
    return text.getvalue().encode()


def _written(cell: Cell) -> str:
    if isinstance(cell.value, Decimal):
        return f"{cell.value:.{cell.places}f}"
    return as_text(printable(cell.value))
