"""A supplier's file as changes to a price list: every row read, every fault by its cell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import assert_never

from service.catalog import minor_places
from service.core.errors import Fault
from service.core.job.price_list import PRICED_PER, ItemPrice
from service.core.price.price_changes import convert
from service.core.rounding import unit_cost, written
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_cells import (
    is_known,
    item_of,
    read_item,
    read_pack,
    read_row_cost,
    read_unit,
    read_words,
)
from service.operations.prices.import_columns import (
    WorksheetRow,
    find_columns,
    find_headings,
)
from service.operations.prices.import_currency import check_heading
from service.operations.prices.import_rows import ReadRows, SaleUnit
from service.operations.prices.near_items import NearItems
from service.operations.prices.sheet import Worksheet


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
    reading = _begin(mapping, known, currency)
    columns = find_columns(sheet, mapping, reading)
    if not reading.faults:
        check_heading(sheet, mapping, columns, reading)
    if reading.faults:
        return reading
    headings = find_headings(sheet, mapping)
    for number in range(mapping.header_row, len(sheet.rows)):
        row = WorksheetRow(sheet=sheet, number=number, columns=columns, headings=headings)
        if not row.is_blank():
            reading.rows += 1
            _read_row(row, mapping, reading)
    _check_removals(mapping, reading)
    _remark_new_suppliers(reading)
    if not reading.items and not reading.faults:
        message = "the file has no row with a price"
        hint = "prices stand below the headings, whose row is header_row of the column mapping"
        reading.faults.append(Fault(code="file-empty", at=(), message=message, hint=hint))
    return reading


def _begin(
    mapping: ColumnMapping, known: Mapping[str, ItemPrice | None], currency: str | None
) -> ReadRows:
    """What is known before the first row. Words for units are read in their own case."""
    units = {per: SaleUnit(per=per, count=Fraction(1)) for per in PRICED_PER}
    for word, unit in mapping.units.items():
        units[word] = SaleUnit(per=unit.per, count=Fraction(unit.count))
    return ReadRows(
        currency=currency,
        known=known,
        units=units,
        named=frozenset(mapping.items.values()),
        near=NearItems([*known, *mapping.items]),
    )


def _read_row(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> None:
    """One row: whether it is passed over, else all that it says, with all its faults."""
    if moved := row.moved_heading():
        reading.faults.append(moved)
        return
    if why := _passed_over(row, mapping, reading):
        reading.skipped.append(row.place("item"))
        reading.remark("skipped", row.place("item"), f"{why} and is passed over")
        return
    faults = len(reading.faults)
    reading.faults += _faults_of_cells(row, mapping)
    item = read_item(row, mapping, reading)
    cost = read_row_cost(row, mapping, reading)
    unit = read_unit(row, mapping, reading)
    pack = read_pack(row, mapping, reading)
    price = read_words(row, mapping, reading)
    if item is None or price is None or cost is None or unit is None or pack is None:
        return
    if len(reading.faults) == faults:
        exact = Fraction(cost) / unit.count / pack
        _keep(row, item, replace(price, per=unit.per), exact, mapping, reading)


def _passed_over(row: WorksheetRow, mapping: ColumnMapping, reading: ReadRows) -> str:
    """Why a rule of the mapping passes a row over; empty where none does."""
    if row.is_hidden() and mapping.hidden == "skip":
        return "the row is hidden"
    if row.fault_in("item"):
        return ""
    item = item_of(row, mapping)
    if not item:
        return "the row has no item" if mapping.without_item == "skip" else ""
    if mapping.unknown_items == "skip" and not is_known(item, mapping, reading):
        near = reading.near.hint(item)
        return f"{item[:64]!r} is not known{f' ({near.strip()})' if near else ''}"
    return ""


def _faults_of_cells(row: WorksheetRow, mapping: ColumnMapping) -> Iterator[Fault]:
    """Cells that can't be read whatever they say, and a row that nobody sees, or that has more
    cells than there are headings."""
    if row.is_hidden() and mapping.hidden == "refuse":
        message = "the row is hidden in the workbook"
        hint = "show it, or say hidden in the column mapping: read or skip"
        at = (row.place("item"),)
        yield Fault(code="hidden-in-workbook", at=at, message=message, hint=hint)
    if surplus := row.surplus():
        yield surplus
    for column in row.columns:
        if fault := row.fault_in(column):
            yield fault


def _keep(
    row: WorksheetRow,
    item: str,
    price: ItemPrice,
    cost: Fraction,
    mapping: ColumnMapping,
    reading: ReadRows,
) -> None:
    """Keep a price, in the unit that the list has for its item already."""
    old = reading.known.get(item)
    if old is None and price.per == "t" and "t" not in mapping.units:
        message = f"{item}: t is a metric ton of 1000 kg; say units in the column mapping if not"
        reading.remark("metric-ton", row.place("per"), message)
    if old is not None and old.per != price.per:
        # So many of the list's unit cost as much as one of the file's.
        ratio = convert(Decimal(1), price.per, old.per)
        if ratio is None:
            _refuse_unit(row, item, price, old, reading)
            return
        cost *= ratio
        message = f"{item}: converted from a cost per {price.per} to one per {old.per}"
        reading.remark("converted", row.place("per"), message)
        price = replace(price, per=old.per)
    exact = unit_cost(cost)
    if Fraction(exact) != cost:
        message = f"{item}: rounded to {exact.normalize():f} per {price.per}"
        reading.remark("rounded", row.place("unit_cost"), message)
    places = minor_places(reading.currency) if reading.currency else 0
    _keep_once(row, item, replace(price, unit_cost=written(exact, places)), mapping, reading)


def _keep_once(
    row: WorksheetRow, item: str, price: ItemPrice, mapping: ColumnMapping, reading: ReadRows
) -> None:
    """Keep one price for an item: with the same price two rows are one, else the mapping says
    which holds."""
    at, first = row.place("item"), reading.places.get(item)
    before = reading.items.get(item)
    if before is None or first is None:
        _put(row, item, price, reading)
        return
    if convert(price.unit_cost, price.per, before.per) == Fraction(before.unit_cost):
        reading.remark("duplicate", at, f"{item} stands at {first} already, with the same price")
        return
    prices = f"{before.unit_cost} per {before.per} at {first}, {price.unit_cost} per {price.per}"
    match mapping.on_duplicate:
        case "fault":
            hint = "take one row out, or say on_duplicate in the column mapping: first or last"
            reading.fault("item-twice", at, f"{item} has two prices: {prices} here", hint)
        case "first":
            reading.remark("duplicate", at, f"{item}: {prices} here; the first holds")
        case "last":
            reading.remark("duplicate", at, f"{item}: {prices} here; the last holds")
            _put(row, item, price, reading)
        case _:
            assert_never(mapping.on_duplicate)


def _put(row: WorksheetRow, item: str, price: ItemPrice, reading: ReadRows) -> None:
    reading.items[item] = price
    reading.places[item], reading.costs[item] = row.place("item"), row.place("unit_cost")


def _refuse_unit(
    row: WorksheetRow, item: str, price: ItemPrice, old: ItemPrice, reading: ReadRows
) -> None:
    message = f"{item} is priced per {price.per} here and per {old.per} in the list"
    word = row.text("per") or price.per
    hint = (
        f"a price per {old.per}; or say in the column mapping what the unit holds: "
        f'"{word[:40]}": {{"per": "{old.per}", "count": …}}'
    )
    reading.fault("price-unit-mismatch", row.place("per"), message, hint)


def _check_removals(mapping: ColumnMapping, reading: ReadRows) -> None:
    """What a file leaves out is only known where each of its rows is read."""
    if mapping.absent_items == "remove" and reading.skipped:
        message = f"{len(reading.skipped)} rows are passed over, and absent_items says remove"
        hint = 'name their items in the column mapping, or say absent_items "keep"'
        reading.fault("removal-unsure", reading.skipped[0], message, hint)


def _remark_new_suppliers(reading: ReadRows) -> None:
    """A supplier that no item of the list has may be one that is written otherwise."""
    named = {price.supplier for price in reading.known.values() if price} - {None}
    seen: set[str | None] = {None, *named}
    if not named:
        return
    suppliers = NearItems(str(name) for name in named)
    for item, price in reading.items.items():
        if price.supplier not in seen:
            seen.add(price.supplier)
            near = suppliers.hint(str(price.supplier)).strip()
            message = f"no item of the list has the supplier {str(price.supplier)[:64]!r}"
            words = f"{message}; {near}" if near else message
            reading.remark("supplier-new", reading.places[item], words)
