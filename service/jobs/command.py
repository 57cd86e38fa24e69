"""`work`: take re-pricings from the job queue; and how a service puts them onto it.

What does it is imported when it is called: the command line lists the command without it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from service.storage import Connection, Store
    from service.storage.repricings import Run


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("work")(work)


def connect_queue(store: Store) -> Callable[[Connection, Run], None]:
    """How runs are put on the queue of a store. Raises QueueUnusableError, StorageError."""
    from service.jobs.start import put_on_queue  # noqa: PLC0415

    return put_on_queue(store)


def work(
    *,
    once: Annotated[bool, typer.Option("--once", help="End when the queue is empty.")] = False,
    stalled_after: Annotated[
        float,
        typer.Option(help="Seconds without a sign of life until a job is put back.", min=1),
    ] = 30.0,
) -> None:
    """Do re-pricings from the job queue until stopped. PostgreSQL alone."""
    from service.jobs.start import work_on_queue  # noqa: PLC0415

    work_on_queue(stalled_after, once=once)
