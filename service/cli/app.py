"""The command line, wired: every command registers itself here.

Exit codes: 0 done, 1 the input is at fault (the message is on stderr), 2 wrong usage.
"""

from __future__ import annotations

from collections.abc import Callable

import typer

from service.api.dependencies import PutOnQueue
from service.cli import (
    batch,
    catalog,
    check_jobs,
    database,
    demo,
    openapi,
    prices,
    quote,
    quotes,
    reprice,
    serve,
)
from service.storage import Store

app = typer.Typer(
    name="service",
    help="Quotes for dry-stacked modular-block retaining walls.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
serve.register(app)
demo.register(app)
quote.register(app)
batch.register(app)
reprice.register(app)
quotes.register(app)
catalog.register(app)
check_jobs.register(app)
prices.register(app)
database.register(app)
openapi.register(app)


def main(
    add_workers: Callable[[typer.Typer], None] | None = None,
    connect_queue: Callable[[Store], PutOnQueue] | None = None,
) -> None:
    """Run the command line, with the commands of workers beside it; `serve` uses `connect_queue`
    where the settings ask for a job queue."""
    if add_workers is not None:
        add_workers(app)
    app(prog_name="python -m service", obj=connect_queue)
