"""Whom a saved quote is for: apart from everything that a digest covers, and erasable."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, select

from service.storage.quote_tables import QUOTE_CUSTOMER


@dataclass(frozen=True, slots=True, kw_only=True)
class Customer:
    """Name and address as they go on paper; either may be missing."""

    name: str | None
    address: str | None


def put_customer(connection: Connection, quote_id: str, customer: Customer, now: int) -> None:
    """Keep the customer of a quote that is locked, in place of the one before."""
    erase_customer(connection, quote_id)
    connection.execute(
        insert(QUOTE_CUSTOMER).values(
            quote_id=quote_id, name=customer.name, address=customer.address, updated_at=now
        )
    )


def find_customer(connection: Connection, quote_id: str) -> Customer | None:
    """The customer of a quote, or None."""
    row = connection.execute(
        select(QUOTE_CUSTOMER).where(QUOTE_CUSTOMER.c.quote_id == quote_id)
    ).one_or_none()
    return None if row is None else Customer(name=row.name, address=row.address)


def erase_customer(connection: Connection, quote_id: str) -> None:
    """Forget the customer of a quote, if there is one."""
    connection.execute(delete(QUOTE_CUSTOMER).where(QUOTE_CUSTOMER.c.quote_id == quote_id))
