"""How a worker starts, and how a service is connected with the job queue.

The queue's library is an extra, and is imported by what uses it alone.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable

import typer

from service.catalog import CatalogInvalidError
from service.operations.callers.webhook_runner import WebhookRunner
from service.settings import Settings
from service.storage import Connection, StorageError, Store
from service.storage.repricings import Run
from service.wiring import open_store, secret_box, settings_catalog


class QueueUnusableError(Exception):
    """There is no job queue here: the database can't hold one, or its library is missing."""


def put_on_queue(store: Store) -> Callable[[Connection, Run], None]:
    """How runs are put on the queue of a store. Raises QueueUnusableError, StorageError."""
    try:
        from service.jobs.queue import JobQueue, QueueMissingError  # noqa: PLC0415
    except ModuleNotFoundError as error:
        message = f"a job queue needs the extra `queue` ({error.name} is not installed)"
        raise QueueUnusableError(message) from error
    try:
        return JobQueue(store).put
    except QueueMissingError as error:
        raise QueueUnusableError(str(error)) from error


def work_on_queue(stalled_after: float, *, once: bool) -> None:
    """Do jobs until stopped, or with `once` until none is left; a job without a sign of life for
    `stalled_after` seconds is put back."""
    settings = Settings()
    logging.basicConfig(level=settings.log_level.upper())
    try:
        catalog = settings_catalog(settings)
        store = open_store(settings)
        store.migrate()
        put_on_queue(store)
    except (CatalogInvalidError, QueueUnusableError, StorageError) as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(1) from error
    from service.jobs.queue import JobQueue  # noqa: PLC0415
    from service.jobs.worker import run_worker  # noqa: PLC0415

    sending = _sender(settings, store)
    try:
        if not once:
            sending.start()
        asyncio.run(run_worker(store, catalog, JobQueue(store), stalled_after, once=once))
    finally:
        sending.stop()
        store.close()


def _sender(settings: Settings, store: Store) -> WebhookRunner:
    """Who sends to webhooks while the worker works: jobs write events, and may be done where no
    service runs. A worker that has no file with the key of secrets leaves sending to who has."""
    secrets = settings.secrets_file(store.file())
    return WebhookRunner(
        lambda: store if secrets.exists() else None,
        lambda store: secret_box(settings, store),
        frozenset(settings.webhook_targets),
        settings.public_url,
    )
