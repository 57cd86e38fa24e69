"""What bulk re-pricing reads of a revision, apart from its request and answer."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select

from service.storage.repricing_tables import QUOTE_PRICING


def put_packed(connection: Connection, quote_id: str, revision: int, packed: bytes) -> None:
    """Keep what bulk re-pricing reads of a revision."""
    row = {"quote_id": quote_id, "revision": revision, "packed": packed}
    connection.execute(insert(QUOTE_PRICING), row)


def find_packed(connection: Connection, quote_id: str, revision: int) -> bytes:
    """What was kept of a revision for bulk re-pricing."""
    held = QUOTE_PRICING.c
    found = connection.execute(
        select(held.packed).where(held.quote_id == quote_id, held.revision == revision)
    ).scalar_one()
    return bytes(found)
