"""Chunks of re-pricings as jobs. The chunks' own table is the truth: a job says only that a chunk
may be left to do, so that one job too many does no harm and a lost one is put again.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice
from typing import Any

import procrastinate
from procrastinate.schema import SchemaManager

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.repricing.repricing import (
    RepricingDisagreesError,
    fail_repricing,
    left_chunks,
    reprice_chunk,
)
from service.operations.repricing.repricing_reads import RepricingUnknownError
from service.storage import Connection, StorageGoneError, Store, job_queue
from service.storage.repricings import Run, find_run

QUEUE = "repricing"
TASK = "reprice_chunk"
PUT_AT_ONCE = 1000
# A database that is away for minutes is waited for: 2, 4, 8 ... seconds.
RETRY = procrastinate.RetryStrategy(
    max_attempts=8, exponential_wait=2, retry_exceptions=[StorageGoneError]
)


class QueueMissingError(Exception):
    """The database can't hold a job queue."""

    def __init__(self) -> None:
        super().__init__(
            "a job queue needs PostgreSQL: SERVICE_DATABASE_URL=postgresql+psycopg://…"
        )


class JobQueue:
    """Puts chunks of runs on the queue of a store, in the caller's own transaction."""

    def __init__(self, store: Store) -> None:
        """Make the queue's tables if need be. Raises QueueMissingError, StorageError."""
        with store.write() as connection:
            if not job_queue.can_queue(connection):
                raise QueueMissingError
            job_queue.ensure_tables(connection, SchemaManager.get_schema())
        self._app = procrastinate.App(connector=procrastinate.SyncPsycopgConnector())

    def put(self, connection: Connection, run: Run) -> None:
        """Put every chunk of a run on the queue: there with the run, or not at all."""
        self.put_chunks(connection, run.asked.id, range(run.chunks))

    def put_chunks(self, connection: Connection, run_id: str, chunks: Sequence[int]) -> None:
        """Put some chunks of a run on the queue."""
        driver = job_queue.driver_connection(connection)
        deferrer = self._app.configure_task(TASK, queue=QUEUE, connection=driver)
        each = iter(chunks)
        while part := [_arguments(run_id, chunk) for chunk in islice(each, PUT_AT_ONCE)]:
            deferrer.batch_defer(*part)

    def put_lost(self, store: Store) -> None:
        """Put what is left of runs that nobody would work on any more."""
        with store.write() as connection:
            for run_id in job_queue.lost_runs(connection):
                run = find_run(connection, run_id, lock=True)
                if run is not None:
                    self.put_chunks(connection, run_id, left_chunks(connection, run))


def _arguments(run_id: str, chunk: int) -> dict[str, Any]:
    return {"repricing_id": run_id, "chunk": chunk}


def worker_app(store: Store, catalog: Catalog, address: str) -> procrastinate.App:
    """The queue as a worker sees it: its one task does a chunk, in a thread."""
    app = procrastinate.App(connector=procrastinate.PsycopgConnector(conninfo=address))

    @app.task(name=TASK, queue=QUEUE, retry=RETRY)
    def reprice(repricing_id: str, chunk: int) -> None:
        do_chunk(store, catalog, repricing_id, chunk)

    return app


def do_chunk(store: Store, catalog: Catalog, run_id: str, chunk: int) -> None:
    """Re-price a chunk; a run that can't go on ends as failed, and its other jobs do nothing."""
    try:
        reprice_chunk(store, catalog, run_id, chunk)
    except RepricingUnknownError:
        return
    except (QuoteFaultsError, RepricingDisagreesError) as error:
        with store.write() as connection:
            fail_repricing(connection, run_id, str(error), store.now())


def plain_address(url: str) -> str:
    """The database's URL as the queue's library reads it: without the name of our driver."""
    return url.replace("postgresql+psycopg://", "postgresql://", 1)
