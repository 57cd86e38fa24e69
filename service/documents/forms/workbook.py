"""A workbook as XLSX: text is never a formula or a link, a formula has its value beside it."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import xlsxwriter

from service.documents.letters import printable
from service.documents.sheets import Cell, Sheet, Workbook

# The date within the file, so that the same workbook has the same bytes.
_MADE = datetime(2026, 1, 1, tzinfo=UTC).replace(tzinfo=None)
_OPTIONS = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}
# Characters that the name of a sheet may not have, and its length (ECMA-376, 18.2.19; common
# practice). A program keeps "History" for itself.
_FORBIDDEN = str.maketrans(dict.fromkeys("[]:*?/\\'", "-"))
_LONGEST_NAME = 31
_KEPT = "history"


def workbook(book: Workbook) -> bytes:
    """The file."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, _OPTIONS) as made:
        made.set_properties(
            {"title": printable(book.title), "author": printable(book.author), "created": _MADE}
        )
        made.set_calc_mode("auto")
        for name, sheet in zip(_names(book), book.sheets, strict=True):
            _write_sheet(made, name, sheet, book.money)
    return held.getvalue()


def _names(book: Workbook) -> list[str]:
    """The names of the sheets as a workbook can have them: with a number where one is taken."""
    names, taken = list[str](), {_KEPT, ""}
    for number, sheet in enumerate(book.sheets, start=1):
        name = printable(sheet.name).translate(_FORBIDDEN)[:_LONGEST_NAME]
        if name.casefold() in taken:
            end = f" {number}"
            name = f"{name[: _LONGEST_NAME - len(end)]}{end}".strip()
        taken.add(name.casefold())
        names.append(name)
    return names


def _write_sheet(
    made: Any,  # noqa: ANN401  no types there
    name: str,
    sheet: Sheet,
    money: tuple[str, str],
) -> None:
    page = made.add_worksheet(name)
    strong = made.add_format({"bold": True, "bottom": 1, "text_wrap": True})
    for column, title in enumerate(sheet.titles):
        page.write_string(0, column, printable(title), strong)
    for column, width in enumerate(sheet.widths):
        page.set_column(column, column, width)
    page.freeze_panes(1, 0)
    page.set_landscape()
    page.repeat_rows(0)
    page.fit_to_pages(1, 0)
    formats: dict[tuple[str, int, bool], Any] = {}
    for number, row in enumerate(sheet.rows, start=1):
        for column, cell in enumerate(row):
            kind = (cell.shown, cell.places, cell.strong)
            if kind not in formats:
                formats[kind] = made.add_format(_format(cell, money))
            _write_cell(page, (number, column), cell, formats[kind])


def _write_cell(page: Any, at: tuple[int, int], cell: Cell, look: Any) -> None:  # noqa: ANN401
    if not isinstance(cell.value, Decimal):
        page.write_string(*at, printable(cell.value), look)
    elif cell.formula:
        page.write_formula(*at, f"={cell.formula}", look, float(cell.value))
    else:
        page.write_number(*at, float(cell.value), look)


def _format(cell: Cell, money: tuple[str, str]) -> dict[str, Any]:
    look: dict[str, Any] = {"bold": cell.strong, "valign": "top"}
    places = f".{'0' * cell.places}" if cell.places else ""
    match cell.shown:
        case "money":
            before, after = (_literal(mark) for mark in money)
            look["num_format"] = f"{before}#,##0{places}{after}"
        case "number":
            look["num_format"] = f"#,##0{places}"
        case "share":
            look["num_format"] = f"0.{'0' * max(0, cell.places - 2)}%"
        case "text" | "date":
            look["text_wrap"] = True
    return look


def _literal(mark: str) -> str:
    """A text within a format of figures, which stands there as it is."""
    plain = mark.replace('"', "")
    return f'"{plain}"' if plain else ""
