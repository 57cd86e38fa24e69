"""One row of a supplier's file, cell by cell: item, cost, unit of sale, pack, words about it.

What can't be read is kept as a fault of the file, what is only worth knowing as a remark.
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from pydantic import ValidationError

from service.catalog import ItemPriceBody
from service.core.job.price_list import ItemPrice
from service.faults import faults_from
from service.fields import ID_PATTERN
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_columns import WorksheetRow
from service.operations.prices.import_currency import check_currencies
from service.operations.prices.import_rows import ReadRows, SaleUnit
from service.operations.prices.price_text import CostUnreadable, read_cost

_WORDS: Final = ("description", "supplier", "group", "note")
# Words for a unit that mean two things in the trade, and what each would be.
_TWO_MEANINGS: Final = {
    "T": '"T": {"per": "ton"} for 2000 lb, {"per": "t"} for 1000 kg',
    "M": '"M": {"per": "each", "count": "1000"} for a thousand, {"per": "m"} for a meter',
    "Y": '"Y": {"per": "yd3"} for a cubic yard, {"per": "yd"} for a yard of length',
}


def item_of(row: WorksheetRow, mapping: ColumnMapping) -> str:
    """The item that a row names; empty where it names none, or can't be read."""
    text = row.text("item")
    return mapping.items.get(text, text)


def is_known(item: str, mapping: ColumnMapping, reading: ReadRows) -> bool:
    """Whether an item may stand in the file."""
    return item in reading.known or (mapping.unknown_items == "add" and item in reading.named)


def read_item(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> str | None:
    """The item of a row; None where it is none, which is a fault."""
    item, at = item_of(row, mapping), row.place("item")
    if row.fault_in("item"):
        return None
    if not item:
        hint = "its number, in each row; a row that has none can be passed over by without_item"
        reading.fault("field-missing", at, "the row has no item", hint)
        return None
    if is_known(item, mapping, reading):
        return item
    if mapping.unknown_items == "add":
        return _new_item(item, at, reading)
    message = f"{item[:64]!r} is no item of the latest revision or of the catalog"
    hint = "name the item in the column mapping's items, or set unknown_items to skip or add"
    reading.fault("unknown-item", at, message, reading.near.hint(item) + hint)
    return None


def _new_item(item: str, at: str, reading: ReadRows) -> str | None:
    if not re.fullmatch(ID_PATTERN, item, re.ASCII):
        message = f"{item[:64]!r} can't be the id of an item"
        hint = "lower-case letters, digits and underscores; the column mapping's items can name one"
        reading.fault("id-invalid", at, message, reading.near.hint(item) + hint)
        return None
    if near := reading.near.slip(item):
        message = f"{item!r} is new, and nearly {near!r}"
        hint = f'if it is another item, name it in the column mapping: "items": {{"{item}": …}}'
        reading.fault("item-near", at, message, hint)
        return None
    return item


def read_row_cost(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> Decimal | None:
    """The cost of a row, in the list's currency."""
    at = row.place("unit_cost")
    if row.fault_in("unit_cost"):
        return None
    read = read_cost(row.cell("unit_cost"), mapping, row.sign("unit_cost"))
    if isinstance(read, CostUnreadable):
        reading.fault(read.code, at, read.message, read.hint)
        return None
    check_currencies(row, read.sign, mapping, reading)
    if read.rounded:
        shown = row.text("unit_cost")
        reading.remark("rounded", at, f"{shown} was rounded to {read.cost.normalize():f}")
    return read.cost


def read_unit(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> SaleUnit | None:
    """What a row's cost is for: a unit, and how many of it."""
    if row.fault_in("per"):
        return None
    text = " ".join(row.text("per").split())
    if not text and mapping.defaults.per is not None:
        return SaleUnit(per=mapping.defaults.per, count=Fraction(1))
    unit = reading.units.get(text)
    if unit is not None:
        return unit
    message = f"{text[:40]!r} is no unit of sale" if text else "the unit of sale is empty"
    hint = "say in the column mapping's units what it is, such as "
    reading.fault("unknown-unit", row.place("per"), message, hint + _meaning(text, reading))
    return None


def _meaning(text: str, reading: ReadRows) -> str:
    """What a unit's word may mean, as the column mapping would say it."""
    if text.upper() in _TWO_MEANINGS:
        return _TWO_MEANINGS[text.upper()]
    for word, unit in reading.units.items():
        if word.casefold() == text.casefold():
            return f'"{text}": {{"per": "{unit.per}"}}'
    return '"CWT": {"per": "lb", "count": "100"}'


def read_pack(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> Fraction | None:
    """For how many units the cost is."""
    if row.fault_in("pack"):
        return None
    cell = row.cell("pack")
    if cell is None or not row.text("pack"):
        return Fraction(1)
    read = read_cost(cell, mapping)
    if isinstance(read, CostUnreadable) or read.sign or not read.cost:
        message = f"{row.text('pack')[:40]!r} is no number of units"
        reading.fault("decimal-invalid", row.place("pack"), message, "a number such as 100")
        return None
    return Fraction(read.cost)


def read_words(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> ItemPrice | None:
    """What a row says about its item, checked like a price that is published."""
    given: dict[str, Any] = {name: _words(row, name) for name in _WORDS if row.text(name)}
    for name in ("supplier", "group"):
        if name not in given and (default := getattr(mapping.defaults, name)) is not None:
            given[name] = default
    if row.text("item") in mapping.items:
        given["supplier_item"] = row.text("item")
    if mapping.absent_items == "remove" and "supplier" not in given:
        message = "the row has no supplier, and absent_items says remove"
        hint = "its supplier in each row, or in the column mapping's defaults"
        reading.fault("supplier-missing", row.place("supplier"), message, hint)
    try:
        return ItemPriceBody.model_validate({"unit_cost": "0", "per": "each", **given}).to_core()
    except ValidationError as error:
        for fault in faults_from(error, ItemPriceBody):
            column = str(fault.at[0]) if fault.at else "item"
            other = f"another text, or another heading for {column} in the column mapping"
            reading.faults.append(replace(fault, at=(row.place(column),), hint=fault.hint or other))
        return None


def _words(row: WorksheetRow, column: str) -> str:
    """A text in one line, with single spaces; a note keeps its lines."""
    text = row.text(column)
    if column == "note":
        return "\n".join(" ".join(line.split()) for line in text.splitlines())
    return " ".join(text.split())
