"""The command line, wired: every command stands here with its module and its own first words.

Exit codes: 0 done, 1 the input is at fault (the message is on stderr), 2 wrong usage.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import typer

from service.cli.late import ListedCommand, add_late

if TYPE_CHECKING:
    from service.api.dependencies import PutOnQueue
    from service.storage import Store

COMMANDS = (
    ListedCommand("serve", "serve", "Answer HTTP requests until stopped."),
    ListedCommand(
        "demo",
        "demo",
        "Start the service on this machine, post an example to it and print the priced result.",
    ),
    ListedCommand("quote", "quote", "Quote the walls of a request. Nothing is stored."),
    ListedCommand(
        "batch",
        "batch",
        "Quote many requests, one JSON document a line; one answer a line. Nothing is stored.",
    ),
    ListedCommand(
        "reprice",
        "reprice",
        "Preview what saved quotes cost on new prices, or write what a preview showed.",
    ),
    ListedCommand("quotes", "quotes", "Saved quotes."),
    ListedCommand("events", "events", "What changed: when, and by whom."),
    ListedCommand(
        "catalog",
        "catalog",
        "The files that wall systems, sections, prices and the rest come from.",
    ),
    ListedCommand(
        "check-jobs",
        "check_jobs",
        "Compare finished jobs with their quotes, task by task. Nothing is changed or stored.",
    ),
    ListedCommand("prices", "prices", "Price lists: what they say, and what a supplier changes."),
    ListedCommand(
        "db", "database", "The database of price lists and saved quotes (SERVICE_DATABASE_URL)."
    ),
    ListedCommand("keys", "keys", "Keys that callers show: made, listed, changed, ended."),
    ListedCommand(
        "settings",
        "settings",
        "Print every setting: its value, its default, and where it came from. Secrets are masked.",
    ),
    ListedCommand(
        "openapi", "openapi", "Print the OpenAPI document of this service, sorted and indented."
    ),
)

app = typer.Typer(
    name="service",
    help="Quotes for dry-stacked modular-block retaining walls.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
for command in COMMANDS:
    add_late(app, command)


def main(
    add_workers: Callable[[typer.Typer], None] | None = None,
    connect_queue: Callable[[Store], PutOnQueue] | None = None,
) -> None:
    """Run the command line, with the commands of workers beside it; `serve` uses `connect_queue`
    where the settings ask for a job queue."""
    if add_workers is not None:
        add_workers(app)
    app(prog_name="python -m service", obj=connect_queue)
