"""One row of a supplier's file, cell by cell: item, cost, unit of sale, pack, words about it.

What can't be read is kept as a fault of the file, what is only worth knowing as a remark.
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, assert_never

from pydantic import ValidationError

from service.catalog import ItemPriceBody, is_currency
from service.core.errors import Fault
from service.core.job.price_list import ItemPrice
from service.faults import faults_from
from service.fields import ID_PATTERN
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_columns import WorksheetRow
from service.operations.prices.import_rows import ReadRows, Remark, SaleUnit
from service.operations.prices.price_text import CostUnreadable, read_cost

_WORDS: Final = ("description", "supplier", "group", "note")


def read_item(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> str | None:
    """The item of a row; None where it is not known, which is a fault or a remark."""
    text = row.text("item")
    at = row.place("item")
    if not text:
        message = "the row has no item"
        reading.faults.append(Fault(code="field-missing", at=(at,), message=message))
        return None
    item = mapping.items.get(text, text)
    if item in reading.known or (mapping.unknown_items == "add" and item in reading.named):
        return item
    match mapping.unknown_items:
        case "add":
            return _new_item(item, at, reading)
        case "skip":
            reading.skipped += 1
            message = f"{text[:64]!r} is not known and is passed over"
            reading.remarks.append(Remark(cell=at, code="skipped", message=message))
        case "refuse":
            reading.faults.append(_unknown(text, at))
        case _:
            assert_never(mapping.unknown_items)
    return None


def _unknown(text: str, at: str) -> Fault:
    return Fault(
        code="unknown-item",
        at=(at,),
        message=f"{text[:64]!r} is no item of the latest revision or of the catalog",
        hint="name the item in the column mapping's items, or set unknown_items to skip or add",
    )


def _new_item(item: str, at: str, reading: ReadRows) -> str | None:
    if re.fullmatch(ID_PATTERN, item, re.ASCII):
        return item
    message = f"{item[:64]!r} can't be the id of an item"
    hint = "lower-case letters, digits and underscores; the column mapping's items can name one"
    reading.faults.append(Fault(code="id-invalid", at=(at,), message=message, hint=hint))
    return None


_LONGEST_ID: Final = 64

_ID_LETTERS: Final = frozenset("abcdefghijklmnopqrstuvwxyz0123456789_")


def read_row_cost(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> Decimal | None:
    """The cost of a row, in the list's currency."""
    at = row.place("unit_cost")
    read = read_cost(row.cell("unit_cost"), mapping)
    if isinstance(read, CostUnreadable):
        fault = Fault(code=read.code, at=(at,), message=read.message, hint=read.hint)
        reading.faults.append(fault)
        return None
    _check_currencies(row, read.currency, mapping, reading)
    if read.rounded:
        shown = row.text("unit_cost")
        message = f"{shown} was rounded to {read.cost.normalize():f}"
        reading.remarks.append(Remark(cell=at, code="rounded", message=message))
    return read.cost


def _check_currencies(
    row: WorksheetRow, sign: str | None, mapping: ColumnMapping, reading: ReadRows
) -> None:
    """The currency of the cost's sign, of a column of its own, or else of the mapping."""
    at, named = row.place("unit_cost"), row.text("currency").upper() or None
    for currency, place in ((sign, at), (named, row.place("currency"))):
        _check_currency(currency, place, reading)
    if sign is None and named is None:
        _check_currency(mapping.defaults.currency, at, reading)
    if reading.currency is None:
        hint = "a column for the currency, or a default in the column mapping"
        message = "the list is new and the file names no currency"
        reading.faults.append(Fault(code="field-missing", at=(at,), message=message, hint=hint))


def _check_currency(currency: str | None, at: str, reading: ReadRows) -> None:
    """A file and its list are in one currency; a new list takes that of the first row."""
    if currency is None:
        return
    if reading.currency is None and is_currency(currency):
        reading.currency = currency
    if currency != reading.currency:
        message = f"the cost is in {currency[:20]}, the price list in {reading.currency}"
        hint = "one price list for each currency"
        reading.faults.append(Fault(code="currency-mismatch", at=(at,), message=message, hint=hint))


def read_unit(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> SaleUnit | None:
    """What a row's cost is for: a unit, and how many of it."""
    text = row.text("per")
    if not text and mapping.defaults.per is not None:
        return SaleUnit(per=mapping.defaults.per, count=Fraction(1))
    unit = reading.units.get(text.casefold())
    if unit is not None:
        return unit
    reading.faults.append(
        Fault(
            code="unknown-unit",
            at=(row.place("per"),),
            message=f"{text[:40]!r} is no unit of sale" if text else "the unit of sale is empty",
            hint="say in the column mapping's units what it is, such as "
            '"CWT": {"per": "lb", "count": "100"}',
        )
    )
    return None


def read_pack(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> Fraction | None:
    """For how many units the cost is."""
    cell = row.cell("pack")
    if cell is None or not row.text("pack"):
        return Fraction(1)
    read = read_cost(cell, mapping)
    if isinstance(read, CostUnreadable) or read.currency or not read.cost:
        message = f"{row.text('pack')[:40]!r} is no number of units"
        at = (row.place("pack"),)
        reading.faults.append(
            Fault(code="decimal-invalid", at=at, message=message, hint="a number such as 100")
        )
        return None
    return Fraction(read.cost)


def read_words(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> ItemPrice | None:
    """What a row says about its item, checked like a price that is published."""
    given: dict[str, Any] = {name: row.text(name) for name in _WORDS if row.text(name)}
    for name in ("supplier", "group"):
        if name not in given and (default := getattr(mapping.defaults, name)) is not None:
            given[name] = default
    try:
        return ItemPriceBody.model_validate({"unit_cost": "0", "per": "each", **given}).to_core()
    except ValidationError as error:
        for fault in faults_from(error, ItemPriceBody):
            column = str(fault.at[0]) if fault.at else "item"
            reading.faults.append(replace(fault, at=(row.place(column),)))
        return None
