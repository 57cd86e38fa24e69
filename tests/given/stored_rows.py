"""Rows in a table that nothing else looks at: what was written, and what is there."""

from sqlalchemy import insert, select

from service.operations.conditions import content_digest
from service.storage import Connection, Store
from service.storage.tables import PRICE_LIST_MAPPING


def insert_row(connection: Connection, name: str, content: bytes = b"x") -> None:
    """Store one row with its digest, within a transaction."""
    connection.execute(
        insert(PRICE_LIST_MAPPING).values(
            price_list_id=name,
            content=content,
            content_digest=content_digest(content),
            saved_at=0,
        )
    )


def write_row(store: Store, name: str, content: bytes = b"x") -> None:
    """The same in a transaction of its own."""
    with store.write() as connection:
        insert_row(connection, name, content)


def read_names(store: Store) -> list[str]:
    """Which rows there are."""
    with store.read() as connection:
        return sorted(connection.scalars(select(PRICE_LIST_MAPPING.c.price_list_id)))
