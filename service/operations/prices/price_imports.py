"""Import a supplier's file into a price list: preview what it would change, then write just that.

Preview and write are one reading, worked out before the database is held. A preview names the
content of the revision it would make; a write repeats that name, so that nothing is written which
was not shown.
"""

from __future__ import annotations

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.conditions import Conditions, etag_of
from service.operations.idempotent import Outcome, StoredOutcome, run_once
from service.operations.prices.import_acceptance import not_accepted
from service.operations.prices.import_answer import ImportPreview
from service.operations.prices.import_merge import PriceFile
from service.operations.prices.imported import ImportAsked, Imported, preview_of, work_out
from service.operations.prices.kept_revision import decode_kept, to_draft
from service.operations.prices.price_lists import publish_draft, refuse_file
from service.operations.stored_refusals import PreviewChangedError
from service.storage import Connection, Store
from service.storage import price_lists as rows
from service.storage.idempotency import KeyedCall


def look_up(store: Store, catalog: Catalog, list_id: str, file: PriceFile) -> ImportAsked:
    """A file beside the latest revision of its list. Raises PriceListFixedError."""
    refuse_file(catalog, list_id)
    with store.read() as connection:
        return _asked(connection, list_id, file)


def preview_import(store: Store, catalog: Catalog, list_id: str, file: PriceFile) -> ImportPreview:
    """What importing a file would change, and what stands against it. Stores nothing.

    Raises WorksheetUnreadableError, PriceListFixedError.
    """
    return preview_of(catalog, look_up(store, catalog, list_id, file))


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
    asked = look_up(store, catalog, list_id, file)
    imported = work_out(catalog, asked)
    return publish_import(store, catalog, asked, imported, preview, conditions, call)


def publish_import(
    store: Store,
    catalog: Catalog,
    asked: ImportAsked,
    imported: Imported,
    preview: str,
    conditions: Conditions,
    call: KeyedCall | None,
) -> StoredOutcome:
    """Publish what was worked out. Where somebody published to the list meanwhile, it is worked
    out once more. Raises as `write_import` does."""
    list_id = asked.list_id

    def work(connection: Connection) -> Outcome:
        now, found = _asked(connection, list_id, asked.file, asked), imported
        if now.number != asked.number:
            found = work_out(catalog, now)
        if found.draft is None:
            raise QuoteFaultsError(found.faults)
        latest = rows.find_latest(connection, list_id)
        if latest is None or latest.source_digest != found.digest:
            conditions.check(now.etag)
        if found.digest != preview:
            raise PreviewChangedError
        if refused := [each for each in found.unaccepted if each.by not in asked.file.accepted]:
            raise QuoteFaultsError(not_accepted(each) for each in refused)
        return publish_draft(store, connection, list_id, found.draft, conditions)

    return run_once(store, call, work)


def _asked(
    connection: Connection, list_id: str, file: PriceFile, before: ImportAsked | None = None
) -> ImportAsked:
    """A file beside the latest revision; `before`: as it was looked up last."""
    latest = rows.find_latest(connection, list_id)
    if latest is None:
        return ImportAsked(list_id=list_id, file=file, base=None, number=0, etag=None)
    if before is not None and before.number == latest.number:
        return before
    kept = decode_kept(rows.read_content(connection, list_id, latest.number).content)
    return ImportAsked(
        list_id=list_id,
        file=file,
        base=to_draft(kept),
        number=latest.number,
        etag=etag_of(latest.content_digest),
    )
