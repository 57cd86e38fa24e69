"""What the job queue needs of the database beyond its own library: its tables, and who is left."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, select, text

from service.storage.repricing_tables import REPRICING
from service.storage.repricings import OPEN
from service.storage.turns import Turn, take_turn


def can_queue(connection: Connection) -> bool:
    """Whether the database can hold a job queue."""
    return connection.dialect.name == "postgresql"


def ensure_tables(connection: Connection, statements: str) -> None:
    """Make the queue's tables, if they aren't there; services that start together take turns."""
    take_turn(connection, Turn.QUEUE_TABLES)
    found = connection.execute(text("SELECT to_regclass('procrastinate_jobs')")).scalar_one()
    if found is None:
        # By the driver itself: many statements at once, and a % is a %.
        driver_connection(connection).execute(statements)


def driver_connection(connection: Connection) -> Any:  # noqa: ANN401  a driver's own object
    """The driver's connection behind ours, for a library that joins our transaction."""
    return connection.connection.dbapi_connection


def lost_runs(connection: Connection) -> tuple[str, ...]:
    """Runs for the queue that aren't over and of which no job is left: a job that failed for
    good, or was deleted by hand."""
    jobs = text(
        "NOT EXISTS (SELECT 1 FROM procrastinate_jobs WHERE status IN ('todo', 'doing') "
        "AND args->>'repricing_id' = repricing.id)"
    )
    held = REPRICING.c
    statement = select(held.id).where(held.status.in_(OPEN), held.runs_on == "queue").where(jobs)
    return tuple(connection.execute(statement).scalars())
