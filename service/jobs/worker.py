"""One of any number of workers that take re-pricings from the job queue.

A worker that is killed leaves its job as being done. Every worker looks for such jobs and puts
them back, in a loop of its own: a job that rescues jobs could be lost itself.
"""

from __future__ import annotations

import asyncio
import logging

import procrastinate
from procrastinate.exceptions import ProcrastinateException

from service.catalog import Catalog
from service.jobs.queue import QUEUE, JobQueue, plain_address, worker_app
from service.storage import StorageError, Store

KEPT_HOURS = 72
PRUNE_EVERY = 3600.0

_log = logging.getLogger("service.jobs")


async def run_worker(
    store: Store, catalog: Catalog, queue: JobQueue, stalled_after: float, *, once: bool = False
) -> None:
    """Do jobs until stopped, or with `once` until none is left.

    A job whose worker has given no sign of life for `stalled_after` seconds is put back.
    """
    app = worker_app(store, catalog, plain_address(store.url))
    async with app.open_async():
        await rescue(app, store, queue, stalled_after)
        rescuing = asyncio.create_task(_keep_rescuing(app, store, queue, stalled_after))
        try:
            await app.run_worker_async(
                queues=[QUEUE],
                wait=not once,
                concurrency=1,
                update_heartbeat_interval=stalled_after / 3,
                stalled_worker_timeout=stalled_after,
            )
        finally:
            rescuing.cancel()


async def _keep_rescuing(
    app: procrastinate.App, store: Store, queue: JobQueue, stalled_after: float
) -> None:
    pruned = 0.0
    while True:
        await asyncio.sleep(stalled_after / 2)
        pruned += stalled_after / 2
        try:
            await rescue(app, store, queue, stalled_after)
            if pruned >= PRUNE_EVERY:
                await app.job_manager.delete_old_jobs(nb_hours=KEPT_HOURS, include_failed=True)
                pruned = 0.0
        except (StorageError, ProcrastinateException) as error:
            _log.warning("the queue waits for the database: %s", type(error).__name__)


async def rescue(
    app: procrastinate.App, store: Store, queue: JobQueue, stalled_after: float
) -> None:
    """Put back the jobs of workers that gave no sign of life, and what nobody would do."""
    stalled = await app.job_manager.get_stalled_jobs(
        queue=QUEUE, seconds_since_heartbeat=stalled_after
    )
    for job in stalled:
        await app.job_manager.retry_job(job)
    await asyncio.to_thread(queue.put_lost, store)
