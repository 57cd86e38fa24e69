"""A supplier's file as changes to a price list: every row read, every fault by its cell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, assert_never

from pydantic import ValidationError

from service.catalog import ItemPriceBody, is_currency, minor_places
from service.core.errors import Fault
from service.core.job.price_list import PRICED_PER, ItemPrice
from service.core.price.price_changes import convert, written
from service.core.rounding import unit_cost
from service.faults import faults_from
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.price_text import CostUnreadable, read_cost
from service.operations.prices.sheet import Cell, Sheet, is_blank

COLUMNS: Final = (
    "item",
    "unit_cost",
    "per",
    "pack",
    "description",
    "currency",
    "supplier",
    "group",
    "note",
)
_WORDS: Final = ("description", "supplier", "group", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something about a row that whoever imports should know, though it stops nothing."""

    cell: str
    code: str
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit of sale: `count` of a `per`."""

    per: str
    count: Fraction


@dataclass(slots=True, kw_only=True)
class ReadRows:
    """What the rows of a file say: costs by item, remarks, faults; filled row by row."""

    currency: str | None
    known: Mapping[str, ItemPrice | None]
    units: Mapping[str, Unit]
    named: frozenset[str]
    items: dict[str, ItemPrice] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)
    rows: int = 0
    skipped: int = 0
    remarks: list[Remark] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def read_rows(
    sheet: Sheet,
    mapping: ColumnMapping,
    known: Mapping[str, ItemPrice | None],
    currency: str | None,
) -> ReadRows:
    """Read all rows below the headings.

    `known`: items that may stand in the file, with their prices in the latest revision where they
    have one. `currency`: that of the list; None for a list that is new, which takes the file's.
    """
    units = {per.casefold(): Unit(per=per, count=Fraction(1)) for per in PRICED_PER}
    for word, unit in mapping.units.items():
        units[word.casefold()] = Unit(per=unit.per, count=Fraction(unit.count))
    named = frozenset(mapping.items.values())
    found = ReadRows(currency=currency, known=known, units=units, named=named)
    columns = _columns(sheet, mapping, found)
    if found.faults:
        return found
    for number in range(mapping.header_row, len(sheet.rows)):
        if not is_blank(sheet.rows[number]):
            found.rows += 1
            _read_row(_Row(sheet=sheet, number=number, columns=columns), mapping, found)
    if not found.items and not found.faults:
        message = "the file has no row with a price"
        found.faults.append(Fault(code="file-empty", at=(), message=message))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One row: its cells by what they hold."""

    sheet: Sheet
    number: int
    columns: Mapping[str, int]

    def cell(self, column: str) -> Cell:
        """What a cell holds; None where the column is missing or the row too short."""
        place = self.columns.get(column)
        cells = self.sheet.rows[self.number]
        return None if place is None or place >= len(cells) else cells[place]

    def text(self, column: str) -> str:
        """A cell as text without spaces around it; a whole number without its point."""
        cell = self.cell(column)
        if isinstance(cell, Decimal):
            whole = cell.to_integral_value()
            return f"{whole:f}" if cell == whole else f"{cell:f}"
        return (cell or "").strip()

    def place(self, column: str) -> str:
        """Where a cell is; of a missing column, where its row begins."""
        return self.sheet.place(self.number, self.columns.get(column, 0))


def _columns(sheet: Sheet, mapping: ColumnMapping, found: ReadRows) -> Mapping[str, int]:
    """Where each column stands. Faults for headings that are missing or stand there twice."""
    row = mapping.header_row - 1
    if row >= len(sheet.rows):
        message = f"the file has no row {mapping.header_row} with headings"
        found.faults.append(Fault(code="heading-missing", at=(), message=message))
        return {}
    headings = [str(cell or "").strip().casefold() for cell in sheet.rows[row]]
    columns: dict[str, int] = {}
    for name in COLUMNS:
        heading: str = getattr(mapping.columns, name)
        places = [place for place, given in enumerate(headings) if given == heading.casefold()]
        if places:
            columns[name] = places[0]
        if len(places) > 1:
            at = (sheet.place(row, places[1]),)
            message = f"two columns are headed {heading!r}"
            found.faults.append(Fault(code="heading-twice", at=at, message=message))
    found.faults += _missing_headings(sheet, mapping, columns)
    return columns


def _missing_headings(
    sheet: Sheet, mapping: ColumnMapping, columns: Mapping[str, int]
) -> Iterator[Fault]:
    needed = ["item", "unit_cost", *(["per"] if mapping.defaults.per is None else [])]
    row = mapping.header_row - 1
    given = [str(cell).strip() for cell in sheet.rows[row] if cell is not None]
    for name in needed:
        if name not in columns:
            yield Fault(
                code="heading-missing",
                at=(sheet.place(row, 0),),
                message=f"no column is headed {getattr(mapping.columns, name)!r} ({name})",
                hint=f"the headings are: {', '.join(given)[:200]}; the column mapping names them",
            )


def _read_row(row: _Row, mapping: ColumnMapping, found: ReadRows) -> None:
    """One row: its item, then all that is said of it."""
    item = _item(row, mapping, found)
    if item is None:
        return
    faults = len(found.faults)
    cost = _cost(row, mapping, found)
    unit = _unit(row, mapping, found)
    pack = _pack(row, mapping, found)
    if item in found.places:
        message = f"{item} stands at {found.places[item]} already"
        found.faults.append(Fault(code="item-twice", at=(row.place("item"),), message=message))
    found.places.setdefault(item, row.place("item"))
    price = _words(row, mapping, found)
    if price is None or cost is None or unit is None or pack is None:
        return
    if len(found.faults) == faults:
        _keep(row, item, replace(price, per=unit.per), Fraction(cost) / unit.count / pack, found)


def _keep(row: _Row, item: str, price: ItemPrice, cost: Fraction, found: ReadRows) -> None:
    """Keep a price, in the unit that the list has for its item already."""
    old = found.known.get(item)
    if old is not None and old.per != price.per:
        # So many of the list's unit cost as much as one of the file's.
        ratio = convert(Decimal(1), price.per, old.per)
        if ratio is None:
            found.faults.append(
                Fault(
                    code="price-unit-mismatch",
                    at=(row.place("per"),),
                    message=f"{item} is priced per {price.per} here and per {old.per} in the list",
                    hint=f"a price per {old.per}; say in the column mapping what the unit holds",
                )
            )
            return
        cost *= ratio
        message = f"{item}: converted from a cost per {price.per} to one per {old.per}"
        found.remarks.append(Remark(cell=row.place("per"), code="converted", message=message))
        price = replace(price, per=old.per)
    exact = unit_cost(cost)
    if Fraction(exact) != cost:
        message = f"{item}: rounded to {exact.normalize():f} per {price.per}"
        found.remarks.append(Remark(cell=row.place("unit_cost"), code="rounded", message=message))
    places = minor_places(found.currency) if found.currency else 0
    found.items[item] = replace(price, unit_cost=written(exact, places))


def _item(row: _Row, mapping: ColumnMapping, found: ReadRows) -> str | None:
    """The item of a row; None where it is not known, which is a fault or a remark."""
    text = row.text("item")
    at = row.place("item")
    if not text:
        message = "the row has no item"
        found.faults.append(Fault(code="field-missing", at=(at,), message=message))
        return None
    item = mapping.items.get(text, text)
    if item in found.known or (mapping.unknown_items == "add" and item in found.named):
        return item
    match mapping.unknown_items:
        case "add":
            return _new_item(item, at, found)
        case "skip":
            found.skipped += 1
            message = f"{text[:64]!r} is not known and is passed over"
            found.remarks.append(Remark(cell=at, code="skipped", message=message))
        case "refuse":
            found.faults.append(_unknown(text, at))
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


def _new_item(item: str, at: str, found: ReadRows) -> str | None:
    if 0 < len(item) <= _LONGEST_ID and set(item) <= _ID_LETTERS:
        return item
    message = f"{item[:64]!r} can't be the id of an item"
    hint = "lower-case letters, digits and underscores; the column mapping's items can name one"
    found.faults.append(Fault(code="id-invalid", at=(at,), message=message, hint=hint))
    return None


_LONGEST_ID: Final = 64
_ID_LETTERS: Final = frozenset("abcdefghijklmnopqrstuvwxyz0123456789_")


def _cost(row: _Row, mapping: ColumnMapping, found: ReadRows) -> Decimal | None:
    """The cost of a row, in the list's currency."""
    at = row.place("unit_cost")
    read = read_cost(row.cell("unit_cost"), mapping)
    if isinstance(read, CostUnreadable):
        fault = Fault(code=read.code, at=(at,), message=read.message, hint=read.hint)
        found.faults.append(fault)
        return None
    said = row.text("currency").upper() or None
    for currency, place in ((read.currency, at), (said, row.place("currency"))):
        _check_currency(currency, place, found)
    if read.currency is None and said is None:
        _check_currency(mapping.defaults.currency, at, found)
    if found.currency is None:
        hint = "a column for the currency, or a default in the column mapping"
        message = "the list is new and the file names no currency"
        found.faults.append(Fault(code="field-missing", at=(at,), message=message, hint=hint))
    if read.rounded:
        shown = row.text("unit_cost")
        message = f"{shown} was rounded to {read.cost.normalize():f}"
        found.remarks.append(Remark(cell=at, code="rounded", message=message))
    return read.cost


def _check_currency(currency: str | None, at: str, found: ReadRows) -> None:
    """A file and its list are in one currency; a new list takes that of the first row."""
    if currency is None:
        return
    if found.currency is None and is_currency(currency):
        found.currency = currency
    if currency != found.currency:
        message = f"the cost is in {currency[:20]}, the price list in {found.currency}"
        hint = "one price list for each currency"
        found.faults.append(Fault(code="currency-mismatch", at=(at,), message=message, hint=hint))


def _unit(row: _Row, mapping: ColumnMapping, found: ReadRows) -> Unit | None:
    """What a row's cost is for: a unit, and how many of it."""
    text = row.text("per")
    if not text and mapping.defaults.per is not None:
        return Unit(per=mapping.defaults.per, count=Fraction(1))
    unit = found.units.get(text.casefold())
    if unit is not None:
        return unit
    found.faults.append(
        Fault(
            code="unknown-unit",
            at=(row.place("per"),),
            message=f"{text[:40]!r} is no unit of sale" if text else "the unit of sale is empty",
            hint="say in the column mapping's units what it is, such as "
            '"CWT": {"per": "lb", "count": "100"}',
        )
    )
    return None


def _pack(row: _Row, mapping: ColumnMapping, found: ReadRows) -> Fraction | None:
    """For how many units the cost is."""
    cell = row.cell("pack")
    if cell is None or not row.text("pack"):
        return Fraction(1)
    read = read_cost(cell, mapping)
    if isinstance(read, CostUnreadable) or read.currency or not read.cost:
        message = f"{row.text('pack')[:40]!r} is no number of units"
        at = (row.place("pack"),)
        found.faults.append(
            Fault(code="decimal-invalid", at=at, message=message, hint="a number such as 100")
        )
        return None
    return Fraction(read.cost)


def _words(row: _Row, mapping: ColumnMapping, found: ReadRows) -> ItemPrice | None:
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
            found.faults.append(replace(fault, at=(row.place(column),)))
        return None
