"""What a job really took, beside the accepted revision it was quoted by."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select

from service.storage.quote_tables import QUOTE_ACTUALS


def put_actuals(
    connection: Connection, quote_id: str, revision: int, document: bytes, now: int
) -> None:
    """Keep what a job took, in place of what stood there; the quote is locked."""
    key = (QUOTE_ACTUALS.c.quote_id == quote_id, QUOTE_ACTUALS.c.revision == revision)
    connection.execute(delete(QUOTE_ACTUALS).where(*key))
    connection.execute(
        insert(QUOTE_ACTUALS).values(
            quote_id=quote_id, revision=revision, document=document, updated_at=now
        )
    )


def find_actuals(connection: Connection, quote_id: str, revision: int) -> bytes | None:
    """What the job took, as it was put, or None."""
    document: bytes | None = connection.execute(
        select(QUOTE_ACTUALS.c.document).where(
            QUOTE_ACTUALS.c.quote_id == quote_id, QUOTE_ACTUALS.c.revision == revision
        )
    ).scalar_one_or_none()
    return None if document is None else bytes(document)


def find_all_actuals(connection: Connection, quote_id: str) -> dict[int, bytes]:
    """What the jobs of a quote took, as it was put, by revision."""
    held = QUOTE_ACTUALS.c
    rows = select(held.revision, held.document).where(held.quote_id == quote_id)
    return {row.revision: bytes(row.document) for row in connection.execute(rows)}
