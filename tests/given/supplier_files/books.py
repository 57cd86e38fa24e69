"""Workbooks: several sheets, hidden and merged cells, formulas, dates, formats of numbers."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

import xlsxwriter

from tests.given.supplier_files.kind import HEAD, SupplierFile, plant, yard

_HEAD = HEAD.split(",")
_BLOCK: list[Any] = ["TB-8", 7.1, "EA"]
_CAP: list[Any] = ["TB-C", 5.3, "EA"]
_COST, _ITEM, _NEXT = "Prices!B2", "Prices!A2", "Prices!A3"
Work = Callable[[Any, Any], object]  # on the workbook and its sheet


def _nothing(_book: xlsxwriter.Workbook, _page: xlsxwriter.worksheet.Worksheet) -> None:
    """Leave the sheet as it is."""


def book(*rows: Sequence[Any], also: Work = _nothing, more: Sequence[str] = ()) -> bytes:
    """A workbook with a sheet `Prices`; `also` does something more to it, `more` are names of
    further sheets with the headings and one row."""
    stream = io.BytesIO()
    made = xlsxwriter.Workbook(stream, {"in_memory": True})
    page = made.add_worksheet("Prices")
    for number, row in enumerate(rows):
        page.write_row(number, 0, row)
    for name in more:
        other = made.add_worksheet(name)
        other.write_row(0, 0, _HEAD)
        other.write_row(1, 0, ["TB-8", 6.5, "EA"])
    also(made, page)
    made.close()
    return stream.getvalue()


def _formatted(cost: object, code: str) -> bytes:
    """A workbook whose one cost is shown in a format."""

    def also(made: xlsxwriter.Workbook, page: xlsxwriter.worksheet.Worksheet) -> None:
        page.write(1, 1, cost, made.add_format({"num_format": code}))

    return book(_HEAD, _BLOCK, also=also)


def _formula(value: object) -> bytes:
    """A workbook whose one cost is a formula, kept with this result."""
    return book(_HEAD, _BLOCK, also=lambda _, page: page.write_formula(1, 1, "=C9*2", None, value))


def _hide_other(made: xlsxwriter.Workbook, _page: xlsxwriter.worksheet.Worksheet) -> None:
    made.get_worksheet_by_name("2024").hide()


def _hide_row(_book: xlsxwriter.Workbook, page: xlsxwriter.worksheet.Worksheet) -> None:
    page.set_row(2, None, None, {"hidden": True})


def _hide_column(_book: xlsxwriter.Workbook, page: xlsxwriter.worksheet.Worksheet) -> None:
    page.set_column(1, 1, None, None, {"hidden": True})


def _merge_items(_book: xlsxwriter.Workbook, page: xlsxwriter.worksheet.Worksheet) -> None:
    page.merge_range("A2:A3", "TB-8")


def _banner(_book: xlsxwriter.Workbook, page: xlsxwriter.worksheet.Worksheet) -> None:
    page.merge_range("A1:C2", "Block plant, spring prices")


_HIDDEN_ROW = book(_HEAD, _BLOCK, _CAP, also=_hide_row)
_TWO_COSTS = book(["Item #", "Net", "UOM", "List"], ["TB-8", 6.5, "EA", 7.1], also=_hide_column)
_TWO_SHEETS = book(_HEAD, _BLOCK, more=("2024",))


def _file(name: str, data: bytes, **expected: Any) -> SupplierFile:  # noqa: ANN401  its fields
    """A workbook and what is read of it."""
    return SupplierFile(name=f"workbook: {name}", data=data, kind="xlsx", **expected)


def _read(name: str, data: bytes, **expected: Any) -> SupplierFile:  # noqa: ANN401
    """A workbook of which a block at 7.10 is read."""
    return _file(name, data, reads={"block": "7.10 each"}, **expected)


def _refused(name: str, data: bytes, code: str, cell: str, remedy: str) -> SupplierFile:
    """A workbook with one fault."""
    return _file(name, data, faults=((code, cell, remedy),))


BOOKS = (
    _read("plain", book(_HEAD, _BLOCK)),
    _read("numbers as text", book(_HEAD, ["TB-8", "7.10", "EA"])),
    _refused(
        "numbers as text with a comma",
        book(_HEAD, ["TB-8", "7,10", "EA"]),
        "decimal-comma",
        _COST,
        "thousands",
    ),
    _refused("several filled sheets", _TWO_SHEETS, "sheet-unclear", "", "'Prices', '2024'"),
    _read("several filled sheets, one named", _TWO_SHEETS, mapping=plant(sheet="Prices")),
    _read(
        "several sheets, the others hidden",
        book(_HEAD, _BLOCK, more=("2024",), also=_hide_other),
    ),
    _read("an empty sheet beside", book(_HEAD, _BLOCK, also=lambda made, _: made.add_worksheet())),
    _file(
        "a sheet that isn't there",
        _TWO_SHEETS,
        mapping=plant(sheet="2026"),
        faults=(("no-such-sheet", "", "'Prices', '2024'"),),
    ),
    _refused("a hidden row", _HIDDEN_ROW, "hidden-in-workbook", _NEXT, "read or skip"),
    _read(
        "a hidden row, passed over", _HIDDEN_ROW, mapping=plant(hidden="skip"), remarks=("skipped",)
    ),
    _file(
        "a hidden row, read",
        _HIDDEN_ROW,
        mapping=plant(hidden="read"),
        reads={"block": "7.10 each", "cap": "5.30 each"},
    ),
    _refused("a hidden column", _TWO_COSTS, "hidden-in-workbook", "Prices!B1", "read or skip"),
    _file(
        "a hidden column, passed over",
        _TWO_COSTS,
        mapping=plant(hidden="skip"),
        faults=(("heading-missing", "Prices!A1", "the headings are: Item #, UOM, List"),),
    ),
    _read(
        "a hidden column beside the one that is read",
        _TWO_COSTS,
        mapping=plant(columns={"item": "Item #", "unit_cost": "List", "per": "UOM"}),
    ),
    _refused(
        "a formula without its result",
        _formula(""),
        "field-missing",
        _COST,
        "a formula has to be saved with its result",
    ),
    _refused("a formula in error", _formula("#REF!"), "field-missing", _COST, "a formula"),
    _read("a formula with its result", _formula(7.1)),
    _file(
        "a formula that nobody worked out",
        _formula(0),
        reads={"block": "0.00 each"},
        needs=(_COST,),
    ),
    _refused(
        "numbers merged over two rows",
        book(_HEAD, _BLOCK, ["", 7.25, "EA"], also=_merge_items),
        "field-missing",
        _NEXT,
        "in each row",
    ),
    _read(
        "a merged banner above the headings",
        book([], [], _HEAD, _BLOCK, also=_banner),
        mapping=plant(header_row=3),
    ),
    _refused(
        "a cost that became a day",
        _formatted(date(2026, 10, 7).toordinal() - date(1899, 12, 30).toordinal(), "d-mmm"),
        "decimal-invalid",
        _COST,
        "took it for a date",
    ),
    _file(
        # Day 46,302 counted from 1899-12-30 is 2026-10-07; as a cost it is far too much.
        "a day as a number in the place of a cost",
        book(_HEAD, ["TB-8", 46302, "EA"]),
        reads={"block": "46302.00 each"},
        needs=(_COST,),
    ),
    _read(
        "days in a column that nobody reads",
        book([*_HEAD, "From"], [*_BLOCK, 46302]),
    ),
    _refused("a share", _formatted(0.1, "0%"), "decimal-invalid", _COST, "raise costs by a share"),
    _refused(
        "another currency by the format of the number",
        _formatted(7.1, "#,##0.00 [$€-407]"),
        "currency-mismatch",
        _COST,
        "one price list",
    ),
    _read("the list's currency by the format of the number", _formatted(7.1, '"$"#,##0.00')),
    _refused("a credit", book(_HEAD, ["TB-8", -7.1, "EA"]), "decimal-invalid", _COST, "a credit"),
    _refused(
        "a cost that is true", book(_HEAD, ["TB-8", True, "EA"]), "decimal-invalid", _COST, "7.10"
    ),
    _read(
        "a cost with the noise of a float",
        book(_HEAD, ["TB-8", 7.1000000000000005, "EA"]),
        remarks=("rounded",),
    ),
    _file(
        "numbers of articles that are numbers",
        book(["Art.-Nr.", "Preis", "ME"], [4711, 7.1, "STK"], [815, 34, "m3"]),
        mapping=yard(),
        faults=(("unknown-item", _NEXT, "did you mean 0815?"),),
    ),
    _read(
        "a heading of two lines",
        book(["Item\n#", "Net\nprice", "UOM"], _BLOCK),
        mapping=plant(columns={"item": "Item #", "unit_cost": "Net price", "per": "UOM"}),
    ),
    _file(
        "text with the name of a workbook",
        b"Item #,Net,UOM\r\nTB-8,7.10,EA\r\n",
        faults=(("workbook-invalid", "", "save it again as XLSX"),),
    ),
    _file(
        "of the old kind",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        faults=(("workbook-invalid", "", "save it again as XLSX"),),
    ),
)
