"""A supplier's file held against the latest revision of a price list: what it would become."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Final

from service.catalog import Catalog, minor_places
from service.core.job.price_list import ItemPrice
from service.core.price.price_changes import (
    PriceDifference,
    Removal,
    Setting,
    change_prices,
    difference,
)
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_acceptance import Unaccepted, to_accept
from service.operations.prices.import_rows import ReadRows
from service.operations.prices.price_import import read_rows
from service.operations.prices.price_list_request import RevisionDraft
from service.operations.prices.sheet import Worksheet
from service.operations.prices.worksheet import FileKind, read_worksheet

NO_DIFFERENCE: Final = PriceDifference(added=(), removed=(), changed=())


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceFile:
    """A supplier's file, how it is read, and what the revision made of it says of itself.

    `largest_change`: the share of its old cost by which an item may change without a word;
    `accepted`: the words that were given, of `accept_changes` and `accept_removals`.
    """

    data: bytes
    kind: FileKind
    mapping: ColumnMapping
    effective_from: date
    largest_change: Decimal
    note: str | None = None
    accepted: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """A file held against the latest revision. With faults there is no `draft`, and nothing is
    shown; `absent` are items of the file's suppliers that it leaves out."""

    reading: ReadRows
    draft: RevisionDraft | None = None
    shown: PriceDifference = NO_DIFFERENCE
    absent: Sequence[tuple[str, ItemPrice]] = ()
    unaccepted: Sequence[Unaccepted] = ()


def read_file(file: PriceFile) -> Worksheet:
    """The sheet in a file. Raises WorksheetUnreadableError."""
    return read_worksheet(
        file.data,
        file.kind,
        sheet=file.mapping.sheet,
        delimiter=file.mapping.delimiter,
        encoding=file.mapping.encoding,
    )


def merge_file(
    sheet: Worksheet, file: PriceFile, catalog: Catalog, base: RevisionDraft | None
) -> Merged:
    """What the rows say, and the latest revision with that; `base` None: there is none."""
    known: dict[str, ItemPrice | None] = dict.fromkeys(sorted(known_items(catalog)))
    known |= base.items if base else {}
    reading = read_rows(sheet, file.mapping, known, base.currency if base else None)
    if reading.faults or reading.currency is None:
        return Merged(reading=reading)
    before = base or RevisionDraft(currency=reading.currency, effective_from=file.effective_from)
    absent = _absent(reading, before.items)
    changes: list[Setting | Removal] = [Setting(items=reading.items)]
    if absent and file.mapping.absent_items == "remove":
        changes.append(Removal(items=tuple(item for item, _ in absent)))
    items = change_prices(before.items, changes, minor_places(reading.currency))
    draft = replace(
        before,
        effective_from=file.effective_from,
        note=file.note,
        items=dict(sorted(items.items())),
    )
    shown = difference(before.items, draft.items)
    return Merged(
        reading=reading,
        draft=draft,
        shown=shown,
        absent=absent,
        unaccepted=to_accept(shown, reading.costs, file.largest_change),
    )


def _absent(reading: ReadRows, before: Mapping[str, ItemPrice]) -> Sequence[tuple[str, ItemPrice]]:
    """Items of the file's suppliers that the file leaves out. A row that names no supplier is of
    the one that the list has for its item."""
    suppliers = {
        price.supplier or (before[item].supplier if item in before else None)
        for item, price in reading.items.items()
    } - {None}
    return tuple(
        (item, price)
        for item, price in sorted(before.items())
        if price.supplier in suppliers and item not in reading.items
    )


def known_items(catalog: Catalog) -> frozenset[str]:
    """Every item that something in the catalog buys, hires or pays by the hour."""
    reading = set(catalog.ids("materials"))
    for kind in ("wall_systems", "sections", "production_rates", "site_work"):
        for entry in catalog.entries(kind).values():
            reading.update(_items_in(entry.document))
    return frozenset(reading)


def _items_in(value: object) -> Iterator[str]:
    """What stands under `item` and `…_item`, wherever it is."""
    if isinstance(value, Mapping):
        for key, part in value.items():
            if isinstance(part, str) and (key == "item" or key.endswith("_item")):
                yield part
            else:
                yield from _items_in(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from _items_in(part)
