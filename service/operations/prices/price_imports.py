"""Import a supplier's file into a price list: preview what it would change, then write just that.

Preview and write are one reading. A preview names the content of the revision it would make; a
write repeats that name, so that nothing is written which was not shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Annotated, assert_never

import msgspec
from msgspec import Meta, Struct

from service.catalog import Catalog, minor_places
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.price_list import ItemPrice
from service.core.price.price_changes import (
    PriceDifference,
    Removal,
    Setting,
    change_prices,
    difference,
)
from service.faults import pointer
from service.operations.answer_figures import Day, Digest, EntryId
from service.operations.conditions import Conditions, etag_of
from service.operations.idempotent import Outcome, StoredOutcome, run_once
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_rows import ReadRows
from service.operations.prices.kept_revision import decode_kept, to_draft, to_kept
from service.operations.prices.price_import import read_rows
from service.operations.prices.price_list_answer import (
    ChangedPriceAnswer,
    Etag,
    ListedPrice,
    Name,
    from_difference,
)
from service.operations.prices.price_list_request import RevisionDraft
from service.operations.prices.price_lists import publish_draft, refuse_file
from service.operations.prices.worksheet import FileKind, Worksheet, read_worksheet
from service.storage import Connection, Store
from service.storage import price_lists as rows
from service.storage.idempotency import KeyedCall

# Of faults, remarks and changed items so many stand in a preview; the totals count them all.
MOST_SHOWN = 1000


class PreviewChangedError(Exception):
    """What would be written is not what the preview showed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceFile:
    """A supplier's file, how it is read, and what the revision made of it says of itself."""

    data: bytes
    kind: FileKind
    mapping: ColumnMapping
    effective_from: date
    note: str | None = None


class ImportRemark(Struct, frozen=True, kw_only=True):
    """Something that whoever imports should know: a cost that was rounded or converted, a row
    that was passed over."""

    cell: Name
    code: Name
    message: Annotated[str, Meta(max_length=400)]


class ImportFault(Struct, frozen=True, kw_only=True):
    """Something that keeps the file from being imported."""

    cell: Name
    code: Name
    message: Annotated[str, Meta(max_length=400)]
    hint: Annotated[str, Meta(max_length=400)] | None


class ImportPreview(Struct, frozen=True, kw_only=True):
    """What importing a file would do. `preview` names it for the write; it is null where faults
    stand against it. `etag` is that of the latest revision, null where there is none. Lists hold
    the first thousand, the totals count all."""

    id: EntryId
    effective_from: Day
    importable: bool
    preview: Digest | None
    etag: Etag | None
    rows: int
    skipped: int
    faults: Annotated[tuple[ImportFault, ...], Meta(max_length=MOST_SHOWN)]
    faults_total: int
    remarks: Annotated[tuple[ImportRemark, ...], Meta(max_length=MOST_SHOWN)]
    remarks_total: int
    added: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_SHOWN)]
    added_total: int
    removed: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_SHOWN)]
    removed_total: int
    changed: Annotated[tuple[ChangedPriceAnswer, ...], Meta(max_length=MOST_SHOWN)]
    changed_total: int
    unchanged: int


def preview_import(store: Store, catalog: Catalog, list_id: str, file: PriceFile) -> ImportPreview:
    """What importing a file would change, and what stands against it. Stores nothing.

    Raises SheetUnreadableError, PriceListFixedError.
    """
    refuse_file(catalog, list_id)
    sheet = _read(file)
    with store.read() as connection:
        latest = rows.find_latest(connection, list_id)
        base = _base(connection, list_id)
    reading, draft = _merge(sheet, file, catalog, base)
    revision = None if draft is None else to_kept(list_id, 1, draft)
    shown = PriceDifference(added=(), removed=(), changed=())
    if draft is not None:
        shown = difference(base.items if base else {}, draft.items)
    return _preview(
        list_id,
        file,
        reading,
        shown,
        preview=None if revision is None else revision.source_digest,
        etag=None if latest is None else etag_of(latest.content_digest),
    )


def write_import(
    store: Store,
    catalog: Catalog,
    list_id: str,
    file: PriceFile,
    preview: str,
    conditions: Conditions,
    call: KeyedCall | None,
) -> StoredOutcome:
    """Publish what a preview showed: all rows or, with a single fault, none.

    Raises SheetUnreadableError, QuoteFaultsError with every fault by its cell,
    PreviewChangedError, PriceListFixedError, ConditionMissingError, ConditionFailedError.
    """
    refuse_file(catalog, list_id)
    sheet = _read(file)

    def work(connection: Connection) -> Outcome:
        reading, draft = _merge(sheet, file, catalog, _base(connection, list_id))
        if draft is None:
            raise QuoteFaultsError(reading.faults)
        latest = rows.find_latest(connection, list_id)
        digest = to_kept(list_id, 1, draft).source_digest
        if latest is None or latest.source_digest != digest:
            conditions.check(None if latest is None else etag_of(latest.content_digest))
        if digest != preview:
            raise PreviewChangedError
        return publish_draft(store, connection, list_id, draft, conditions)

    return run_once(store, call, work)


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


def _read(file: PriceFile) -> Worksheet:
    return read_worksheet(
        file.data,
        file.kind,
        sheet=file.mapping.sheet,
        delimiter=file.mapping.delimiter,
        encoding=file.mapping.encoding,
    )


def _base(connection: Connection, list_id: str) -> RevisionDraft | None:
    latest = rows.find_latest(connection, list_id)
    if latest is None:
        return None
    return to_draft(decode_kept(rows.read_content(connection, list_id, latest.number).content))


def _merge(
    sheet: Worksheet, file: PriceFile, catalog: Catalog, base: RevisionDraft | None
) -> tuple[ReadRows, RevisionDraft | None]:
    """What the rows say, and the latest revision with that; None where faults stand against it."""
    known: dict[str, ItemPrice | None] = dict.fromkeys(sorted(known_items(catalog)))
    known |= base.items if base else {}
    reading = read_rows(sheet, file.mapping, known, base.currency if base else None)
    if reading.faults or reading.currency is None:
        return reading, None
    before = base or RevisionDraft(currency=reading.currency, effective_from=file.effective_from)
    changes: list[Setting | Removal] = [Setting(items=reading.items)]
    if absent := _absent(reading, file.mapping, before.items):
        changes.append(Removal(items=absent))
    items = change_prices(before.items, changes, minor_places(reading.currency))
    return reading, replace(
        before,
        effective_from=file.effective_from,
        note=file.note,
        items=dict(sorted(items.items())),
    )


def _absent(
    reading: ReadRows, mapping: ColumnMapping, before: Mapping[str, ItemPrice]
) -> tuple[str, ...]:
    """Items of the file's suppliers that the file doesn't name, where these are to go."""
    match mapping.absent_items:
        case "keep":
            return ()
        case "remove":
            suppliers = {price.supplier for price in reading.items.values()} - {None}
            return tuple(
                item
                for item, price in before.items()
                if price.supplier in suppliers and item not in reading.items
            )
        case _:
            assert_never(mapping.absent_items)


def _preview(
    list_id: str,
    file: PriceFile,
    reading: ReadRows,
    shown: PriceDifference,
    preview: str | None,
    etag: str | None,
) -> ImportPreview:
    listed = from_difference(list_id, (1, 1), shown)
    touched = len(shown.added) + len(shown.changed)
    return ImportPreview(
        id=list_id,
        effective_from=file.effective_from.isoformat(),
        importable=not reading.faults,
        rows=reading.rows,
        skipped=reading.skipped,
        faults=tuple(_fault(fault) for fault in reading.faults[:MOST_SHOWN]),
        faults_total=len(reading.faults),
        remarks=tuple(
            ImportRemark(cell=remark.cell, code=remark.code, message=remark.message)
            for remark in reading.remarks[:MOST_SHOWN]
        ),
        remarks_total=len(reading.remarks),
        added=listed.added[:MOST_SHOWN],
        added_total=len(listed.added),
        removed=listed.removed[:MOST_SHOWN],
        removed_total=len(listed.removed),
        changed=listed.changed[:MOST_SHOWN],
        changed_total=len(listed.changed),
        unchanged=max(0, len(reading.items) - touched) if not reading.faults else 0,
        preview=preview,
        etag=etag,
    )


def _fault(fault: Fault) -> ImportFault:
    cell = str(fault.at[0]) if fault.at else pointer(fault.at)
    return ImportFault(cell=cell, code=fault.code, message=fault.message, hint=fault.hint)


def encode_preview(preview: ImportPreview) -> bytes:
    """A preview as it is answered."""
    return msgspec.json.encode(preview)
