"""Customers' yeses: what each agreed to, kept beside the quote."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from sqlalchemy import Connection, insert, select, update

from service.storage.tables import ACCEPTANCE


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """A yes by a link: who typed which name (None once it is erased), the sentence that was
    ticked, the SHA-256 of what was shown, and the total."""

    link_id: str
    quote_id: str
    revision: int
    name: str | None
    sentence: str
    content_digest: str
    total: str
    currency: str
    accepted_at: int


def put_acceptance(connection: Connection, acceptance: Acceptance) -> None:
    """Keep a yes."""
    connection.execute(insert(ACCEPTANCE).values(asdict(acceptance)))


def find_acceptances(connection: Connection, quote_id: str) -> tuple[Acceptance, ...]:
    """The yeses of a quote, the oldest first."""
    asked = (
        select(ACCEPTANCE)
        .where(ACCEPTANCE.c.quote_id == quote_id)
        .order_by(ACCEPTANCE.c.accepted_at, ACCEPTANCE.c.link_id)
    )
    return tuple(Acceptance(**row) for row in connection.execute(asked).mappings())


def erase_names(connection: Connection, quote_id: str) -> int:
    """Forget who said yes to a quote; how many names it were."""
    held = ACCEPTANCE.c
    named = update(ACCEPTANCE).where(held.quote_id == quote_id, held.name.is_not(None))
    return connection.execute(named.values(name=None)).rowcount
