"""What publishing a revision would change, before anything is published."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta, Struct

from service.catalog import Catalog
from service.core.price.price_changes import difference
from service.operations.answer_figures import Day, Digest, EntryId
from service.operations.conditions import etag_of
from service.operations.prices.import_answer import MOST_SHOWN
from service.operations.prices.kept_revision import to_kept
from service.operations.prices.price_list_answer import (
    ChangedPriceAnswer,
    Etag,
    ListedPrice,
    from_difference,
)
from service.operations.prices.price_list_request import read_publication
from service.operations.prices.price_lists import draft_of, items_of, refuse_file
from service.storage import Store
from service.storage import price_lists as rows


class PublicationPreview(Struct, frozen=True, kw_only=True):
    """What publishing would change. `etag` is that of the latest revision, null where there is
    none: a publication with it as `If-Match` does what is shown. `new` is false where `latest`
    says all of it already. Lists hold the first thousand, the totals count all."""

    id: EntryId
    new: bool
    effective_from: Day
    source_digest: Digest
    etag: Etag | None
    added: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_SHOWN)]
    added_total: int
    removed: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_SHOWN)]
    removed_total: int
    changed: Annotated[tuple[ChangedPriceAnswer, ...], Meta(max_length=MOST_SHOWN)]
    changed_total: int
    unchanged: int


def preview_publication(
    store: Store, catalog: Catalog, list_id: str, document: object
) -> PublicationPreview:
    """What publishing a document would change. Stores nothing.

    Raises QuoteFaultsError, PriceListFixedError, PriceListMissingError.
    """
    refuse_file(catalog, list_id)
    publication = read_publication(document, catalog)
    with store.read() as connection:
        latest = rows.find_latest(connection, list_id)
        draft = draft_of(connection, catalog, list_id, publication, document)
        before = items_of(connection, latest)
    digest = to_kept(list_id, 1, draft).source_digest
    shown = difference(before, draft.items)
    listed = from_difference(list_id, (1, 1), shown)
    return PublicationPreview(
        id=list_id,
        new=latest is None or latest.source_digest != digest,
        effective_from=draft.effective_from.isoformat(),
        source_digest=digest,
        etag=None if latest is None else etag_of(latest.content_digest),
        added=listed.added[:MOST_SHOWN],
        added_total=len(listed.added),
        removed=listed.removed[:MOST_SHOWN],
        removed_total=len(listed.removed),
        changed=listed.changed[:MOST_SHOWN],
        changed_total=len(listed.changed),
        unchanged=len(draft.items) - len(listed.added) - len(listed.changed),
    )
