"""What a caller keeps beside a saved quote: short texts by key."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import Connection, delete, insert, select

from service.storage.quote_tables import QUOTE_METADATA


def put_metadata(connection: Connection, quote_id: str, metadata: Mapping[str, str]) -> None:
    """Keep the metadata of a quote that is locked, in place of those before."""
    erase_metadata(connection, quote_id)
    rows = [{"quote_id": quote_id, "key": key, "value": metadata[key]} for key in metadata]
    if rows:
        connection.execute(insert(QUOTE_METADATA), rows)


def erase_metadata(connection: Connection, quote_id: str) -> int:
    """Forget the metadata of a quote; how many rows it were."""
    erased = delete(QUOTE_METADATA).where(QUOTE_METADATA.c.quote_id == quote_id)
    return connection.execute(erased).rowcount


def find_metadata(connection: Connection, quote_ids: Sequence[str]) -> dict[str, dict[str, str]]:
    """The metadata of quotes that have some, by quote, in the order of their keys."""
    held = QUOTE_METADATA.c
    statement = select(QUOTE_METADATA).where(held.quote_id.in_(quote_ids)).order_by(held.key)
    metadata: dict[str, dict[str, str]] = {}
    for row in connection.execute(statement):
        metadata.setdefault(row.quote_id, {})[row.key] = row.value
    return metadata
