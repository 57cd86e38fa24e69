"""Price lists that are published to: a revision after the other, none ever changed."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import msgspec

from service.catalog import Catalog, minor_places
from service.core.job.price_list import ItemPrice
from service.core.price.price_changes import change_prices, difference
from service.operations.conditions import (
    ConditionFailedError,
    Conditions,
    content_digest,
    etag_of,
)
from service.operations.idempotent import Outcome, StoredOutcome, run_once
from service.operations.prices.kept_revision import (
    KeptRevision,
    decode_kept,
    encode_kept,
    to_draft,
    to_kept,
)
from service.operations.prices.price_list_answer import (
    PublishedRevision,
)
from service.operations.prices.price_list_request import (
    ChangesRequest,
    RevisionDraft,
    delivery_of,
    read_publication,
)
from service.operations.stored_refusals import PriceListFixedError, PriceListMissingError
from service.storage import Connection, Store
from service.storage import price_lists as rows
from service.storage.events import record
from service.storage.idempotency import KeyedCall
from service.storage.price_lists import RevisionHead

CREATED, UNCHANGED = 201, 200


def publish(
    store: Store,
    catalog: Catalog,
    list_id: str,
    document: object,
    conditions: Conditions,
    call: KeyedCall | None,
) -> StoredOutcome:
    """Publish a revision, whole or as changes to the latest; once per key.

    The whole list that `latest` says already answers with `latest`, whatever the conditions. Else
    they must name `latest`, or say that there is nothing yet. Raises QuoteFaultsError,
    PriceListFixedError, PriceListMissingError, ConditionMissingError, ConditionFailedError.
    """
    refuse_file(catalog, list_id)
    publication = read_publication(document, catalog)

    def work(connection: Connection) -> Outcome:
        latest = rows.find_latest(connection, list_id)
        if isinstance(publication, RevisionDraft):
            return publish_draft(store, connection, list_id, publication, conditions)
        conditions.check(_etag(latest))
        draft = draft_of(connection, catalog, list_id, publication, document)
        return publish_draft(store, connection, list_id, draft, conditions)

    return run_once(store, call, work)


def draft_of(
    connection: Connection,
    catalog: Catalog,
    list_id: str,
    publication: RevisionDraft | ChangesRequest,
    document: object,
) -> RevisionDraft:
    """What a publication makes of the latest revision.

    Raises PriceListMissingError, PriceFaultsError.
    """
    if isinstance(publication, RevisionDraft):
        return publication
    latest = rows.find_latest(connection, list_id)
    if latest is None:
        raise missing_list(list_id, known_ids(connection, catalog))
    base = to_draft(decode_kept(rows.read_content(connection, list_id, latest.number).content))
    return _changed(base, publication, document)


def publish_draft(
    store: Store,
    connection: Connection,
    list_id: str,
    draft: RevisionDraft,
    conditions: Conditions,
) -> Outcome:
    """Add a revision after the latest, in the caller's transaction; 200 where `latest` says the
    same already. Raises ConditionMissingError, ConditionFailedError."""
    latest = rows.find_latest(connection, list_id)
    revision = to_kept(list_id, latest.number + 1 if latest else 1, draft)
    if latest is not None and latest.source_digest == revision.source_digest:
        return _outcome(UNCHANGED, latest, (0, 0, 0))
    conditions.check(_etag(latest))
    content = encode_kept(revision)
    head = _head(revision, content, store.now())
    if not rows.add_revision(connection, head, content):
        first = rows.find_latest(connection, list_id)
        raise ConditionFailedError(_etag(first))
    _tell_published(connection, head)
    before = items_of(connection, latest)
    found = difference(before, draft.items)
    return _outcome(CREATED, head, (len(found.added), len(found.changed), len(found.removed)))


def _tell_published(connection: Connection, head: RevisionHead) -> None:
    """Tell that a list has a further revision."""
    data = {
        "price_list": head.price_list,
        "revision": head.number,
        "links": {"revision": revision_url(head)},
    }
    now, subject = head.published_at, head.price_list
    record(connection, "price_list.revision_published", data, now=now, subject=subject)


def revision_url(head: RevisionHead) -> str:
    """The address of a revision."""
    return f"/v1/price-lists/{head.price_list}/revisions/{head.number}"


def refuse_file(catalog: Catalog, list_id: str) -> None:
    """Raise PriceListFixedError for a list that is a file of the catalog."""
    if list_id in catalog.price_lists:
        raise PriceListFixedError(
            "price-list-in-catalog",
            f"price list {list_id} is a file of the catalog, so it can't be changed here",
            "another id, or the file itself and a reload",
        )


def missing_list(list_id: str, known: Sequence[str] = ()) -> PriceListMissingError:
    """There is no list with this id; the hint is the nearest one that is known."""
    message = f"there is no price list {list_id[:64]!r}"
    close = difflib.get_close_matches(list_id[:64], known, 1)
    return PriceListMissingError("unknown-price-list", message, close[0] if close else None)


def missing_revision(list_id: str, what: str, latest: int) -> PriceListMissingError:
    """The list has no such revision."""
    return PriceListMissingError(
        "unknown-revision",
        f"price list {list_id} has no revision {what}",
        f"its latest is revision {latest}",
    )


def find_revision(
    connection: Connection,
    catalog: Catalog,
    list_id: str,
    number: int | None,
    as_of: date | None = None,
) -> RevisionHead:
    """A revision by its number; None: the latest, or the latest that holds on a day.

    Raises PriceListMissingError.
    """
    if number is not None:
        found = rows.find_head(connection, list_id, number)
    else:
        day = None if as_of is None else as_of.isoformat()
        found = rows.find_latest(connection, list_id, day)
    if found is not None:
        return found
    latest = rows.find_latest(connection, list_id)
    if latest is None:
        raise missing_list(list_id, known_ids(connection, catalog))
    what = str(number) if number is not None else f"that holds on {as_of}"
    raise missing_revision(list_id, what, latest.number)


def known_ids(connection: Connection, catalog: Catalog) -> Sequence[str]:
    """Ids of all lists, of the catalog and of the database."""
    return [*catalog.ids("price_lists"), *rows.list_ids(connection)]


def _etag(head: RevisionHead | None) -> str | None:
    return None if head is None else etag_of(head.content_digest)


def _changed(base: RevisionDraft, request: ChangesRequest, document: object) -> RevisionDraft:
    changes = [change.to_core() for change in request.changes]
    items = change_prices(base.items, changes, minor_places(base.currency))
    return replace(
        base,
        effective_from=request.effective_from,
        title=request.title or base.title,
        note=request.note,
        items=dict(sorted(items.items())),
        delivery=base.delivery if request.delivery is None else delivery_of(document),
    )


def items_of(connection: Connection, head: RevisionHead | None) -> dict[str, ItemPrice]:
    """The items of a revision; None: of none."""
    if head is None:
        return {}
    content = rows.read_content(connection, head.price_list, head.number).content
    return dict(to_draft(decode_kept(content)).items)


def _head(revision: KeptRevision, content: bytes, now: int) -> RevisionHead:
    return RevisionHead(
        price_list=revision.id,
        number=revision.revision,
        currency=revision.currency,
        effective_from=revision.effective_from,
        note=revision.note if isinstance(revision.note, str) else None,
        items=len(revision.items),
        source_digest=revision.source_digest,
        content_digest=content_digest(content),
        published_at=now,
    )


def _outcome(status: int, head: RevisionHead, counts: tuple[int, int, int]) -> Outcome:
    etag = etag_of(head.content_digest)
    answer = PublishedRevision(
        id=head.price_list,
        revision=head.number,
        new=status == CREATED,
        effective_from=head.effective_from,
        items=head.items,
        added=counts[0],
        changed=counts[1],
        removed=counts[2],
        source_digest=head.source_digest,
        etag=etag,
    )
    headers = {"Location": revision_url(head), "ETag": etag}
    return Outcome(status=status, body=msgspec.json.encode(answer), headers=headers)
