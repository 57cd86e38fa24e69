"""Turns: of some matters one transaction comes after the other, as their rows alone don't see to
it.

On SQLite whoever writes has the whole database to itself already.
"""

from __future__ import annotations

from enum import IntEnum, unique

from sqlalchemy import Connection, text


@unique
class Turn(IntEnum):
    """A matter, by the number of its lock on PostgreSQL: any will do that no other has."""

    MIGRATION = 7_205_531
    QUEUE_TABLES = 7_205_532
    EVENTS = 7_205_533
    KEYS = 7_205_534
    COUNTED_CALLS = 7_205_535
    LEADS = 7_205_536


def take_turn(connection: Connection, turn: Turn) -> None:
    """Wait until no other transaction has this turn, and keep it to the end of this one."""
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"SELECT pg_advisory_xact_lock({turn.value})"))
