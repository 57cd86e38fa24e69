"""Reading price lists, of the catalog and of the database: lists, revisions, differences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any

from service.catalog import Catalog
from service.core.price.price_changes import difference
from service.operations.prices.kept_revision import decode_kept
from service.operations.prices.price_list_answer import (
    DifferenceAnswer,
    PriceListRevision,
    PriceListSummary,
    RevisionSummary,
    from_difference,
    revision_answer,
)
from service.operations.prices.price_lists import (
    find_revision,
    items_of,
    known_ids,
    missing_list,
    missing_revision,
)
from service.storage import Store
from service.storage import price_lists as rows
from service.storage.price_lists import RevisionHead


def read_revision(
    store: Store, catalog: Catalog, list_id: str, number: int | None, as_of: date | None = None
) -> tuple[RevisionHead, PriceListRevision]:
    """A revision with what it says. Raises PriceListMissingError."""
    with store.read() as connection:
        head = find_revision(connection, catalog, list_id, number, as_of)
        content = rows.read_content(connection, list_id, head.number).content
    return head, revision_answer(decode_kept(content))


def read_difference(
    store: Store, catalog: Catalog, list_id: str, old: int | None, new: int | None
) -> DifferenceAnswer:
    """What leads from one revision to another; None: the latest. Raises PriceListMissingError."""
    with store.read() as connection:
        heads = [find_revision(connection, catalog, list_id, number) for number in (old, new)]
        before, after = (items_of(connection, head) for head in heads)
    numbers = (heads[0].number, heads[1].number)
    return from_difference(list_id, numbers, difference(before, after))


def read_file(
    catalog: Catalog, list_id: str, number: int | None, as_of: date | None = None
) -> Mapping[str, Any]:
    """A list of the catalog as its file says it; the one revision there is its latest. Raises
    PriceListMissingError."""
    document = catalog.price_lists[list_id].document
    there: int = document["revision"]
    if number not in {None, there}:
        raise missing_revision(list_id, str(number), there)
    if as_of is not None and as_of < date.fromisoformat(document["effective_from"]):
        raise missing_revision(list_id, f"that holds on {as_of}", there)
    return document


def file_difference(
    catalog: Catalog, list_id: str, old: int | None, new: int | None
) -> DifferenceAnswer:
    """A file has one revision, which does not differ from itself. Raises PriceListMissingError."""
    there: int = read_file(catalog, list_id, old)["revision"]
    read_file(catalog, list_id, new)
    return DifferenceAnswer(id=list_id, old=there, new=there, added=(), removed=(), changed=())


def list_ids(store: Store, catalog: Catalog) -> Sequence[str]:
    """Ids of all lists, of the catalog and of the database, in order."""
    with store.read() as connection:
        return sorted({*rows.list_ids(connection), *catalog.ids("price_lists")})


def summarize(store: Store, catalog: Catalog, ids: Sequence[str]) -> tuple[PriceListSummary, ...]:
    """Some of those lists with their newest revisions."""
    stored = [id_ for id_ in ids if id_ not in catalog.price_lists]
    with store.read() as connection:
        heads = {head.price_list: head for head in rows.find_all_latest(connection, stored)}
    return tuple(
        PriceListSummary(id=id_, kept_in="database", latest=summary_of(heads[id_]))
        if id_ in heads
        else PriceListSummary(id=id_, kept_in="file", latest=summary_of_file(catalog, id_))
        for id_ in ids
    )


def list_numbers(store: Store, catalog: Catalog, list_id: str) -> Sequence[int]:
    """Numbers of a list's revisions. Raises PriceListMissingError."""
    with store.read() as connection:
        numbers = rows.list_numbers(connection, list_id)
        if not numbers:
            raise missing_list(list_id, known_ids(connection, catalog))
    return numbers


def summarize_revisions(
    store: Store, catalog: Catalog, list_id: str, numbers: Sequence[int]
) -> tuple[RevisionSummary, ...]:
    """Some revisions of a list without their items."""
    with store.read() as connection:
        return tuple(
            summary_of(find_revision(connection, catalog, list_id, number)) for number in numbers
        )


def summary_of(head: RevisionHead) -> RevisionSummary:
    """One revision without its items."""
    published = datetime.fromtimestamp(head.published_at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return RevisionSummary(
        revision=head.number,
        currency=head.currency,
        effective_from=head.effective_from,
        items=head.items,
        source_digest=head.source_digest,
        published_at=published,
        **({} if head.note is None else {"note": head.note}),
    )


def summary_of_file(catalog: Catalog, list_id: str) -> RevisionSummary:
    """The one revision of a list that is a file."""
    document = catalog.price_lists[list_id].document
    return RevisionSummary(
        revision=document["revision"],
        currency=document["currency"],
        effective_from=document["effective_from"],
        items=len(document["items"]),
        **({"note": document["note"]} if "note" in document else {}),
    )
