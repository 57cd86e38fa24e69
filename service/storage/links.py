"""Links: rows by which a paper is shown to whoever has the secret, and what it shows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, delete, insert, or_, select, update

from service.storage.tables import LINK, LINK_CONTENT


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A link to a paper of a revision. Moments are seconds, UTC; `viewed_on` is the last day on
    which it was looked at, ISO 8601; `answer` what the customer said by it, at `answered_at`."""

    id: str
    quote_id: str
    revision: int
    kind: str
    language: str
    paper: str
    made_at: int
    made_by: str
    expires_at: int
    company: str | None = None
    detail: str | None = None
    supplier: str | None = None
    ended_at: int | None = None
    viewed_on: str | None = None
    answer: str | None = None
    answered_at: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkContent:
    """What a link shows: content as JSON, its SHA-256, and the PDF."""

    content: bytes
    digest: str
    pdf: bytes


_COLUMNS = tuple(column for column in LINK.c if column.name != "token_digest")


def insert_link(
    connection: Connection, link: Link, token_digest: str, content: LinkContent
) -> None:
    """Keep a link, known by the SHA-256 of its secret, and what it shows."""
    row = {column.name: getattr(link, column.name) for column in _COLUMNS}
    connection.execute(insert(LINK).values(**row, token_digest=token_digest))
    connection.execute(
        insert(LINK_CONTENT).values(
            link_id=link.id,
            content=content.content,
            content_digest=content.digest,
            pdf=content.pdf,
        )
    )


def find_link(connection: Connection, token_digest: str) -> Link | None:
    """The link of a secret, known by its SHA-256."""
    row = connection.execute(
        select(*_COLUMNS).where(LINK.c.token_digest == token_digest)
    ).one_or_none()
    return None if row is None else _link(row)


def find_links(connection: Connection, quote_id: str, revision: int | None = None) -> list[Link]:
    """The links of a quote, or of one of its revisions, in the order of their ids."""
    asked = select(*_COLUMNS).where(LINK.c.quote_id == quote_id).order_by(LINK.c.id)
    if revision is not None:
        asked = asked.where(LINK.c.revision == revision)
    return [_link(row) for row in connection.execute(asked)]


def find_content(connection: Connection, link_id: str) -> LinkContent | None:
    """What a link shows; None once it is erased."""
    row = connection.execute(
        select(LINK_CONTENT).where(LINK_CONTENT.c.link_id == link_id)
    ).one_or_none()
    if row is None:
        return None
    return LinkContent(content=row.content, digest=row.content_digest, pdf=bytes(row.pdf))


def end_links(connection: Connection, link_ids: Iterable[str], now: int) -> None:
    """Close links that are open."""
    which = LINK.c.id.in_(list(link_ids))
    connection.execute(update(LINK).where(which, LINK.c.ended_at.is_(None)).values(ended_at=now))


def mark_viewed(connection: Connection, link_id: str, day: str) -> bool:
    """Keep that a link was looked at; False where it was on that day already."""
    earlier = or_(LINK.c.viewed_on.is_(None), LINK.c.viewed_on < day)
    marked = update(LINK).where(LINK.c.id == link_id, earlier).values(viewed_on=day)
    return connection.execute(marked).rowcount == 1


def mark_answered(connection: Connection, link_id: str, answer: str, now: int) -> None:
    """Keep what a customer said by a link."""
    values = {"answer": answer, "answered_at": now}
    connection.execute(update(LINK).where(LINK.c.id == link_id).values(values))


def erase_contents(connection: Connection, link_ids: Iterable[str]) -> int:
    """Forget what links show; of how many."""
    shown = delete(LINK_CONTENT).where(LINK_CONTENT.c.link_id.in_(list(link_ids)))
    return connection.execute(shown).rowcount


def _link(row: Row[Any]) -> Link:
    return Link(**{column.name: getattr(row, column.name) for column in _COLUMNS})
