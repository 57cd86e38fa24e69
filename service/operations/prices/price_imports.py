"""Import a supplier's file into a price list: preview what it would change, then write just that.

Preview and write are one reading. A preview names the content of the revision it would make; a
write repeats that name, so that nothing is written which was not shown.
"""

from __future__ import annotations

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.conditions import Conditions, etag_of
from service.operations.idempotent import Outcome, StoredOutcome, run_once
from service.operations.prices.import_acceptance import not_accepted
from service.operations.prices.import_answer import ImportPreview, import_preview
from service.operations.prices.import_merge import PriceFile, merge_file, read_file
from service.operations.prices.kept_revision import decode_kept, to_draft, to_kept
from service.operations.prices.price_list_request import RevisionDraft
from service.operations.prices.price_lists import publish_draft, refuse_file
from service.operations.stored_refusals import PreviewChangedError
from service.storage import Connection, Store
from service.storage import price_lists as rows
from service.storage.idempotency import KeyedCall


def preview_import(store: Store, catalog: Catalog, list_id: str, file: PriceFile) -> ImportPreview:
    """What importing a file would change, and what stands against it. Stores nothing.

    Raises WorksheetUnreadableError, PriceListFixedError.
    """
    refuse_file(catalog, list_id)
    sheet = read_file(file)
    with store.read() as connection:
        latest = rows.find_latest(connection, list_id)
        base = _base(connection, list_id)
    found = merge_file(sheet, file, catalog, base)
    digest = None if found.draft is None else to_kept(list_id, 1, found.draft).source_digest
    etag = None if latest is None else etag_of(latest.content_digest)
    return import_preview(list_id, file, found, preview=digest, etag=etag)


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

    Raises WorksheetUnreadableError, QuoteFaultsError with every fault by its cell, also of changes
    and removals that nobody accepted, PreviewChangedError, PriceListFixedError,
    ConditionMissingError, ConditionFailedError.
    """
    refuse_file(catalog, list_id)
    sheet = read_file(file)

    def work(connection: Connection) -> Outcome:
        found = merge_file(sheet, file, catalog, _base(connection, list_id))
        if found.draft is None:
            raise QuoteFaultsError(found.reading.faults)
        latest = rows.find_latest(connection, list_id)
        digest = to_kept(list_id, 1, found.draft).source_digest
        if latest is None or latest.source_digest != digest:
            conditions.check(None if latest is None else etag_of(latest.content_digest))
        if digest != preview:
            raise PreviewChangedError
        if refused := [each for each in found.unaccepted if each.by not in file.accepted]:
            raise QuoteFaultsError(not_accepted(each) for each in refused)
        return publish_draft(store, connection, list_id, found.draft, conditions)

    return run_once(store, call, work)


def _base(connection: Connection, list_id: str) -> RevisionDraft | None:
    latest = rows.find_latest(connection, list_id)
    if latest is None:
        return None
    return to_draft(decode_kept(rows.read_content(connection, list_id, latest.number).content))
