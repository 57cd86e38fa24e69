"""Whom a saved quote is for: apart from everything that a digest covers, and erasable."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, select

from service.storage.quote_tables import QUOTE_CUSTOMER


@dataclass(frozen=True, slots=True, kw_only=True)
class Customer:
    """The customer as answered (JSON), and the names by which it is found."""

    document: bytes
    names: tuple[str, ...]


def put_customer(connection: Connection, quote_id: str, customer: Customer, now: int) -> None:
    """Keep the customer of a quote that is locked, in place of the one before."""
    erase_customer(connection, quote_id)
    connection.execute(
        insert(QUOTE_CUSTOMER).values(
            quote_id=quote_id,
            document=customer.document,
            names_folded="\n".join(customer.names).casefold(),
            updated_at=now,
        )
    )


def find_customer(connection: Connection, quote_id: str) -> bytes | None:
    """The customer of a quote as answered, or None."""
    document: bytes | None = connection.execute(
        select(QUOTE_CUSTOMER.c.document).where(QUOTE_CUSTOMER.c.quote_id == quote_id)
    ).scalar_one_or_none()
    return None if document is None else bytes(document)


def erase_customer(connection: Connection, quote_id: str) -> int:
    """Forget the customer of a quote; how many rows it were, if any."""
    erased = delete(QUOTE_CUSTOMER).where(QUOTE_CUSTOMER.c.quote_id == quote_id)
    return connection.execute(erased).rowcount
