"""A supplier's file as changes to a price list: every row read, every fault by its cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from service.catalog import minor_places
from service.core.errors import Fault
from service.core.job.price_list import PRICED_PER, ItemPrice
from service.core.price.price_changes import convert
from service.core.rounding import unit_cost, written
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_cells import (
    read_item,
    read_pack,
    read_row_cost,
    read_unit,
    read_words,
)
from service.operations.prices.import_columns import WorksheetRow, find_columns
from service.operations.prices.import_rows import ReadRows, Remark, SaleUnit
from service.operations.prices.worksheet import Worksheet, is_blank


def read_rows(
    sheet: Worksheet,
    mapping: ColumnMapping,
    known: Mapping[str, ItemPrice | None],
    currency: str | None,
) -> ReadRows:
    """Read all rows below the headings.

    `known`: items that may stand in the file, with their prices in the latest revision where they
    have one. `currency`: that of the list; None for a list that is new, which takes the file's.
    """
    units = {per.casefold(): SaleUnit(per=per, count=Fraction(1)) for per in PRICED_PER}
    for word, unit in mapping.units.items():
        units[word.casefold()] = SaleUnit(per=unit.per, count=Fraction(unit.count))
    named = frozenset(mapping.items.values())
    reading = ReadRows(currency=currency, known=known, units=units, named=named)
    columns = find_columns(sheet, mapping, reading)
    if reading.faults:
        return reading
    for number in range(mapping.header_row, len(sheet.rows)):
        if not is_blank(sheet.rows[number]):
            reading.rows += 1
            _read_row(WorksheetRow(sheet=sheet, number=number, columns=columns), mapping, reading)
    if not reading.items and not reading.faults:
        message = "the file has no row with a price"
        reading.faults.append(Fault(code="file-empty", at=(), message=message))
    return reading


def _read_row(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> None:
    """One row: its item, then all that is said of it."""
    item = read_item(row, mapping, reading)
    if item is None:
        return
    faults = len(reading.faults)
    cost = read_row_cost(row, mapping, reading)
    unit = read_unit(row, mapping, reading)
    pack = read_pack(row, mapping, reading)
    if item in reading.places:
        message = f"{item} stands at {reading.places[item]} already"
        reading.faults.append(Fault(code="item-twice", at=(row.place("item"),), message=message))
    reading.places.setdefault(item, row.place("item"))
    price = read_words(row, mapping, reading)
    if price is None or cost is None or unit is None or pack is None:
        return
    if len(reading.faults) == faults:
        _keep(row, item, replace(price, per=unit.per), Fraction(cost) / unit.count / pack, reading)


def _keep(
    row: WorksheetRow, item: str, price: ItemPrice, cost: Fraction, reading: ReadRows
) -> None:
    """Keep a price, in the unit that the list has for its item already."""
    old = reading.known.get(item)
    if old is not None and old.per != price.per:
        # So many of the list's unit cost as much as one of the file's.
        ratio = convert(Decimal(1), price.per, old.per)
        if ratio is None:
            reading.faults.append(_unit_mismatch(row, item, price, old))
            return
        cost *= ratio
        message = f"{item}: converted from a cost per {price.per} to one per {old.per}"
        reading.remarks.append(Remark(cell=row.place("per"), code="converted", message=message))
        price = replace(price, per=old.per)
    exact = unit_cost(cost)
    if Fraction(exact) != cost:
        message = f"{item}: rounded to {exact.normalize():f} per {price.per}"
        reading.remarks.append(Remark(cell=row.place("unit_cost"), code="rounded", message=message))
    places = minor_places(reading.currency) if reading.currency else 0
    reading.items[item] = replace(price, unit_cost=written(exact, places))


def _unit_mismatch(row: WorksheetRow, item: str, price: ItemPrice, old: ItemPrice) -> Fault:
    return Fault(
        code="price-unit-mismatch",
        at=(row.place("per"),),
        message=f"{item} is priced per {price.per} here and per {old.per} in the list",
        hint=f"a price per {old.per}; say in the column mapping what the unit holds",
    )
