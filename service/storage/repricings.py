"""Re-pricing runs: what was asked, which revisions they read, how they ended.

A run is a row; its quotes are chosen with it, in the same transaction.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, Row, insert, select, update

from service.core.rounding import whole_chunks
from service.storage.repricing_tables import REPRICING

Mode = Literal["preview", "write"]
Status = Literal["queued", "running", "succeeded", "failed", "cancelled"]
RunsOn = Literal["service", "queue"]
OPEN: tuple[Status, ...] = ("queued", "running")


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRun:
    """A run as it is asked for. `chosen_by` is the filter as JSON, `margin_floor` a ratio as
    text, `prices_digest` the SHA-256 of the prices; a write names its preview. Of a run of an
    earlier version it isn't known who started it."""

    id: str
    mode: Mode
    runs_on: RunsOn
    price_list: str
    price_list_revision: int
    currency: str
    minor_places: int
    margin_floor: str | None
    include_issued: bool
    chosen_by: str
    preview_id: str | None
    chunk_size: int
    prices_digest: str | None = None
    started_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A run as it is kept. Moments in seconds, UTC."""

    asked: NewRun
    status: Status
    total: int
    created_at: int
    finished_at: int | None
    owner: str | None
    failure: str | None
    lease_until: int
    left_out: str

    @property
    def chunks(self) -> int:
        """How many chunks it has."""
        return whole_chunks(self.total, self.asked.chunk_size)


def insert_run(connection: Connection, asked: NewRun, now: int) -> None:
    """Keep a new run, without quotes so far."""
    connection.execute(
        insert(REPRICING).values(
            id=asked.id,
            mode=asked.mode,
            status="queued",
            runs_on=asked.runs_on,
            price_list=asked.price_list,
            price_list_revision=asked.price_list_revision,
            currency=asked.currency,
            minor_places=asked.minor_places,
            margin_floor=asked.margin_floor,
            include_issued=asked.include_issued,
            chosen_by=asked.chosen_by,
            preview_id=asked.preview_id,
            total=0,
            chunk_size=asked.chunk_size,
            prices_digest=asked.prices_digest,
            started_by=asked.started_by,
            created_at=now,
            lease_until=0,
        )
    )


def find_run(connection: Connection, run_id: str, *, lock: bool = False) -> Run | None:
    """A run, or None; with `lock` nobody else can change it in the meantime."""
    statement = select(REPRICING).where(REPRICING.c.id == run_id)
    row = connection.execute(statement.with_for_update() if lock else statement).one_or_none()
    return None if row is None else run_of(row)


def list_runs(connection: Connection, *, limit: int, before: str | None = None) -> tuple[Run, ...]:
    """At most `limit` runs, the newest first, those before an id if given: ids sort by time."""
    statement = select(REPRICING).order_by(REPRICING.c.id.desc()).limit(limit)
    if before is not None:
        statement = statement.where(REPRICING.c.id < before)
    return tuple(run_of(row) for row in connection.execute(statement))


def end_run(
    connection: Connection, run_id: str, status: Status, now: int, failure: str | None = None
) -> None:
    """End a run that is locked."""
    change_run(connection, run_id, status=status, finished_at=now, owner=None, failure=failure)


def change_run(connection: Connection, run_id: str, **values: object) -> None:
    """Change some columns of a run."""
    connection.execute(update(REPRICING).where(REPRICING.c.id == run_id).values(**values))


def run_of(row: Row[Any]) -> Run:
    """A row as what it means."""
    return Run(
        asked=NewRun(
            id=row.id,
            mode=row.mode,
            runs_on=row.runs_on,
            price_list=row.price_list,
            price_list_revision=row.price_list_revision,
            currency=row.currency,
            minor_places=row.minor_places,
            margin_floor=row.margin_floor,
            include_issued=row.include_issued,
            chosen_by=row.chosen_by,
            preview_id=row.preview_id,
            chunk_size=row.chunk_size,
            prices_digest=row.prices_digest,
            started_by=row.started_by,
        ),
        status=row.status,
        total=row.total,
        created_at=row.created_at,
        finished_at=row.finished_at,
        owner=row.owner,
        failure=row.failure,
        lease_until=row.lease_until,
        left_out=row.left_out,
    )
