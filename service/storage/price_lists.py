"""Price lists by revision, and how their suppliers' files are read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Select, func, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.tables import PRICE_LIST_MAPPING as MAPPING
from service.storage.tables import PRICE_LIST_REVISION as REVISION


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionHead:
    """One revision without its content. `effective_from` is an ISO date, `published_at` seconds
    since 1970, `items` how many there are."""

    price_list: str
    number: int
    currency: str
    effective_from: str
    note: str | None
    items: int
    source_digest: str
    content_digest: str
    published_at: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredContent:
    """A document as it is answered, and its SHA-256."""

    content: bytes
    content_digest: str


_HEAD = (
    REVISION.c.price_list_id,
    REVISION.c.number,
    REVISION.c.currency,
    REVISION.c.effective_from,
    REVISION.c.note,
    REVISION.c["items"],
    REVISION.c.source_digest,
    REVISION.c.content_digest,
    REVISION.c.published_at,
)


def list_ids(connection: Connection) -> Sequence[str]:
    """Ids of all price lists, sorted by their characters."""
    return sorted(connection.scalars(select(REVISION.c.price_list_id).distinct()))


def list_numbers(connection: Connection, price_list: str) -> Sequence[int]:
    """Numbers of a list's revisions, from the first."""
    numbers = select(REVISION.c.number).where(REVISION.c.price_list_id == price_list)
    return connection.scalars(numbers.order_by(REVISION.c.number)).all()


def find_head(connection: Connection, price_list: str, number: int) -> RevisionHead | None:
    """One revision."""
    chosen = select(*_HEAD).where(
        REVISION.c.price_list_id == price_list, REVISION.c.number == number
    )
    return _first(connection, chosen)


def find_latest(
    connection: Connection, price_list: str, as_of: str | None = None
) -> RevisionHead | None:
    """The revision with the highest number; of those that hold on a day, where one is given."""
    chosen = select(*_HEAD).where(REVISION.c.price_list_id == price_list)
    if as_of is not None:
        chosen = chosen.where(REVISION.c.effective_from <= as_of)
    return _first(connection, chosen.order_by(REVISION.c.number.desc()).limit(1))


def find_all_latest(connection: Connection, price_lists: Sequence[str]) -> Sequence[RevisionHead]:
    """The newest revision of each of some lists."""
    newest = (
        select(REVISION.c.price_list_id, func.max(REVISION.c.number).label("number"))
        .where(REVISION.c.price_list_id.in_(price_lists))
        .group_by(REVISION.c.price_list_id)
        .subquery()
    )
    joined = select(*_HEAD).join(
        newest,
        (REVISION.c.price_list_id == newest.c.price_list_id)
        & (REVISION.c.number == newest.c.number),
    )
    return [_to_head(row) for row in connection.execute(joined)]


def read_content(connection: Connection, price_list: str, number: int) -> StoredContent:
    """The content of a revision that is there."""
    chosen = select(REVISION.c.content, REVISION.c.content_digest).where(
        REVISION.c.price_list_id == price_list, REVISION.c.number == number
    )
    content, digest = connection.execute(chosen).one()
    return StoredContent(content=bytes(content), content_digest=digest)


def add_revision(connection: Connection, head: RevisionHead, content: bytes) -> bool:
    """Add a revision under its number; False where somebody else took it first."""
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    statement = insert(REVISION).values(
        price_list_id=head.price_list,
        number=head.number,
        currency=head.currency,
        effective_from=head.effective_from,
        note=head.note,
        items=head.items,
        source_digest=head.source_digest,
        content=content,
        content_digest=head.content_digest,
        published_at=head.published_at,
    )
    written = statement.on_conflict_do_nothing().returning(REVISION.c.number)
    return connection.execute(written).first() is not None


def find_mapping(connection: Connection, price_list: str) -> StoredContent | None:
    """How the columns of a list's files are read, if that was saved."""
    chosen = select(MAPPING.c.content, MAPPING.c.content_digest).where(
        MAPPING.c.price_list_id == price_list
    )
    row = connection.execute(chosen).one_or_none()
    return row and StoredContent(content=bytes(row[0]), content_digest=row[1])


def save_mapping(
    connection: Connection,
    price_list: str,
    mapping: StoredContent,
    *,
    before: str | None,
    now: int,
) -> bool:
    """Save it in the place of the one whose digest is `before` (None: of none); False where that
    is no longer the one."""
    values = {"content": mapping.content, "content_digest": mapping.content_digest, "saved_at": now}
    if before is None:
        insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
        added = insert(MAPPING).values(price_list_id=price_list, **values)
        done = added.on_conflict_do_nothing().returning(MAPPING.c.price_list_id)
        return connection.execute(done).first() is not None
    changed = (
        update(MAPPING)
        .where(MAPPING.c.price_list_id == price_list, MAPPING.c.content_digest == before)
        .values(values)
        .returning(MAPPING.c.price_list_id)
    )
    return connection.execute(changed).first() is not None


def _first(connection: Connection, chosen: Select[*tuple[Any, ...]]) -> RevisionHead | None:
    row = connection.execute(chosen).first()
    return None if row is None else _to_head(row)


def _to_head(row: Sequence[Any]) -> RevisionHead:
    price_list, number, currency, effective_from, note, items, source, content, published = row
    return RevisionHead(
        price_list=price_list,
        number=number,
        currency=currency,
        effective_from=effective_from,
        note=note,
        items=items,
        source_digest=source,
        content_digest=content,
        published_at=published,
    )
