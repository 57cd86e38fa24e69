"""Outcomes of calls that carried an Idempotency-Key, kept for a day."""

from __future__ import annotations

import json
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, delete, or_, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.tables import IDEMPOTENCY as TABLE
from service.storage.translation import translated

# Members of answers about a saved quote that hold what people wrote, or a customer's name.
_WRITTEN = frozenset({"metadata", "notes", "acceptances"})


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


def strip_outcomes(connection: Connection, address: str) -> None:
    """Take out of the outcomes at an address, and of those that made what stands there, what
    people wrote: a repeated call is told that it was shown before."""
    columns = (*TABLE.primary_key.columns, TABLE.c.body)
    here = or_(TABLE.c.path.startswith(address), TABLE.c.headers.contains(f'{address}"'))
    for row in connection.execute(select(*columns).where(here, TABLE.c.body.is_not(None))).all():
        if (stripped := _stripped(bytes(row.body))) is not None:
            this = [column == value for column, value in zip(columns[:-1], row[:-1], strict=True)]
            connection.execute(update(TABLE).where(*this).values(body=stripped))


def _stripped(body: bytes) -> bytes | None:
    """A body without what people wrote; None where there is nothing of it."""
    document = json.loads(body) if body.startswith(b"{") else {}
    written = _WRITTEN & document.keys()
    beside = (*document.get("history", ()), document.get("actuals", {}))
    noted = [held for held in beside if "note" in held]
    if not written and not noted:
        return None
    for name in written:
        del document[name]
    for held in noted:
        del held["note"]
    document["secret_shown"] = True
    return json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode()


def _is(call: KeyedCall) -> ColumnElement[bool]:
    return and_(
        TABLE.c.caller == call.caller,
        TABLE.c.method == call.method,
        TABLE.c.path == call.path,
        TABLE.c.key == call.key,
    )
