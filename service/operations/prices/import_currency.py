"""The currency of a supplier's file: that of its list, or refused."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Final

from service.catalog import currencies_of
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_columns import WorksheetRow, find_headings
from service.operations.prices.import_rows import ReadRows
from service.operations.prices.sheet import Worksheet

# In a heading: a sign anywhere, a code in brackets or at the end.
_IN_HEADING: Final = re.compile(
    r"[A-Z]{0,3}[$£¥\u20a0-\u20c0]|(?<=[(\[/])\s*[A-Z]{3}(?=\s*[)\]])|(?<=[\s/])[A-Z]{3}$"
)


def check_heading(
    sheet: Worksheet, mapping: ColumnMapping, columns: Mapping[str, int], reading: ReadRows
) -> None:
    """A heading of costs that names a currency names that of the list; a new list takes it where
    it is one alone."""
    column = columns["unit_cost"]
    at = sheet.place(mapping.header_row - 1, column)
    found = _IN_HEADING.search(find_headings(sheet, mapping)[column])
    sign = found.group().strip() if found else ""
    if codes := currencies_of(sign):
        _adopt(codes, reading)
        _check(codes, sign, at, reading)


def check_currencies(
    row: WorksheetRow, sign: str | None, mapping: ColumnMapping, reading: ReadRows
) -> None:
    """The currency of the cost's sign, of a column of its own, or else of the mapping."""
    said = tuple(_said(row, sign, mapping))
    for codes, _, _ in said:
        _adopt(codes, reading)
    if reading.currency is None:
        hint = "a column for the currency, or a default in the column mapping"
        message = "the list is new and the file names no currency"
        reading.fault("field-missing", row.place("unit_cost"), message, hint)
        return
    for codes, words, place in said:
        _check(codes, words, place, reading)


def _said(
    row: WorksheetRow, sign: str | None, mapping: ColumnMapping
) -> Iterator[tuple[frozenset[str], str, str]]:
    """What is said of a row's currency: what it may be, in which word, and where."""
    at, named = row.place("unit_cost"), row.text("currency").upper()
    codes = currencies_of(sign) if sign else frozenset[str]()
    if sign:
        yield codes, sign, at
    if named:
        yield currencies_of(named), named, row.place("currency")
    elif len(codes) != 1 and mapping.defaults.currency is not None:
        yield frozenset({mapping.defaults.currency}), mapping.defaults.currency, at


def _adopt(codes: frozenset[str], reading: ReadRows) -> None:
    """A new list takes the first currency that is one alone."""
    if reading.currency is None and len(codes) == 1:
        (reading.currency,) = codes


def _check(codes: frozenset[str], words: str, at: str, reading: ReadRows) -> None:
    if reading.currency is not None and reading.currency not in codes:
        message = f"the cost is in {words[:20]}, the price list in {reading.currency}"
        hint = "one price list for each currency"
        reading.fault("currency-mismatch", at, message, hint)
