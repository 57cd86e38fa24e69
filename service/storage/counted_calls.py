"""Calls that are counted, in one place for all processes: an hour that slides."""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select, update

from service.storage.tables import COUNTED_CALL
from service.storage.turns import Turn, take_turn

_CALL = COUNTED_CALL.c


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """How many calls an hour has seen, and when the first of them was."""

    calls: int
    first_at: int | None


def count(connection: Connection, address: str, since: int, now: int) -> tuple[Counted, Counted]:
    """The calls of an address, and of all, after a moment. Whoever counts holds the others up
    to the end of its transaction; what is older is dropped, and what was counted by a clock that
    was ahead counts as of now."""
    take_turn(connection, Turn.COUNTED_CALLS)
    connection.execute(delete(COUNTED_CALL).where(_CALL.called_at <= since))
    ahead = update(COUNTED_CALL).where(_CALL.called_at > now)
    connection.execute(ahead.values(called_at=now))
    columns = select(func.count(), func.min(_CALL.called_at))
    of_address = connection.execute(columns.where(_CALL.address == address)).one()
    of_all = connection.execute(columns.select_from(COUNTED_CALL)).one()
    return _counted(*of_address), _counted(*of_all)


def note(connection: Connection, address: str, now: int) -> None:
    """Count one more."""
    values = {"id": secrets.token_hex(16), "address": address, "called_at": now}
    connection.execute(insert(COUNTED_CALL).values(values))


def _counted(calls: int, first_at: int | None) -> Counted:
    return Counted(calls=calls, first_at=first_at)
