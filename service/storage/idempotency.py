"""Outcomes of calls that carried an Idempotency-Key, kept for a day."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, delete, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.tables import IDEMPOTENCY as TABLE
from service.storage.translation import translated


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyedCall:
    """A call by who made it, what it called and the key it gave; `fingerprint` is its content."""

    caller: str
    method: str
    path: str
    key: str
    fingerprint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptOutcome:
    """What is kept of a call; `status` None while it is still running."""

    fingerprint: str
    status: int | None
    headers: str
    body: bytes


def take(connection: Connection, call: KeyedCall, now: int) -> bool:
    """Write a call's key down as its own; False where it is taken.

    Where a twin holds the key in a transaction that is still open, this waits for its end.
    Raises StorageBusyError where that takes too long.
    """
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    statement = insert(TABLE).values(
        caller=call.caller,
        method=call.method,
        path=call.path,
        key=call.key,
        fingerprint=call.fingerprint,
        created_at=now,
    )
    written = statement.on_conflict_do_nothing().returning(TABLE.c.key)
    with translated():
        return connection.execute(written).first() is not None


def find(connection: Connection, call: KeyedCall, *, since: int = 0) -> KeptOutcome | None:
    """What is kept under a call's key, if it was begun at a moment or after it."""
    columns = (TABLE.c.fingerprint, TABLE.c.status, TABLE.c.headers, TABLE.c.body)
    row = connection.execute(
        select(*columns).where(_is(call), TABLE.c.created_at >= since)
    ).one_or_none()
    if row is None:
        return None
    fingerprint, status, headers, body = row
    return KeptOutcome(
        fingerprint=fingerprint, status=status, headers=headers or "", body=bytes(body or b"")
    )


def finish(connection: Connection, call: KeyedCall, kept: KeptOutcome) -> None:
    """Keep what a call came to."""
    values = {"status": kept.status, "headers": kept.headers, "body": kept.body}
    connection.execute(update(TABLE).where(_is(call)).values(values))


def forget(connection: Connection, call: KeyedCall) -> None:
    """Give a call's key free again."""
    connection.execute(delete(TABLE).where(_is(call)))


def forget_before(connection: Connection, moment: int) -> None:
    """Drop what was begun before a moment."""
    connection.execute(delete(TABLE).where(TABLE.c.created_at < moment))


def _is(call: KeyedCall) -> ColumnElement[bool]:
    return and_(
        TABLE.c.caller == call.caller,
        TABLE.c.method == call.method,
        TABLE.c.path == call.path,
        TABLE.c.key == call.key,
    )
