"""`reprice`: what saved quotes would cost on a revision of a price list, and writing it;
`reprice issue`: what was written goes out.

The run is the same as over HTTP and is done here, chunk by chunk; if this command is ended in the
middle, a service on the same database goes on with it.
"""

from __future__ import annotations

import contextlib
import secrets
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from service.catalog import Catalog
from service.cli.columns import console_for
from service.cli.reprice_issue import issue
from service.cli.repricing_faults import told
from service.cli.repricing_tables import print_repricing
from service.cli.start import WRONG_USAGE, database, ended, read_catalog, read_settings
from service.core.money import counted
from service.operations.quoting.quote_answer import encode_answer
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_answer import RepricedItem, RepricingAnswer
from service.operations.repricing.repricing_export import csv_rows, ndjson
from service.operations.repricing.repricing_reads import each_item, read_repricing
from service.operations.repricing.repricing_start import read_repricing_request, start_repricing
from service.operations.saved.waiting_answers import make_waiting
from service.storage import Store
from service.storage import repricing_leases as leases
from service.storage.repricings import Run

LEASE_SECONDS = 60
# Filters that may be given several times, and what they are called in a request.
_SEVERAL = {"id": "ids", "reference": "references", "state": "states"}
_Json = dict[str, Any]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    group = typer.Typer(invoke_without_command=True, callback=reprice)
    group.command("issue")(issue)
    app.add_typer(group, name="reprice")


ListId = Annotated[
    str | None, typer.Option("--list", metavar="ID", help="The price list to re-price on.")
]
Filters = Annotated[
    list[str] | None,
    typer.Option(
        "--filter",
        metavar="NAME=VALUE",
        help="Which quotes: id, reference, state, title, price_list, price_list_revision, "
        "issued_from, issued_to, valid_until_from, valid_until_to, total_from, total_to. "
        "Drafts alone, unless state=issued is given too.",
    ),
]
Floor = Annotated[
    str | None, typer.Option(metavar="SHARE", help="Flag quotes below, such as 0.15.")
]
Preview = Annotated[
    str | None, typer.Option(metavar="PREVIEW", help="Write what this preview showed.")
]


ItemsFile = Annotated[
    Path | None,
    typer.Option("--items", metavar="FILE", help="Every quote of the run, as CSV or NDJSON."),
]


def reprice(  # noqa: PLR0913  what a command can be told
    context: typer.Context,
    *,
    list_id: ListId = None,
    revision: Annotated[
        int | None, typer.Option(help="Its revision; left out, the latest.", min=1)
    ] = None,
    filters: Filters = None,
    margin_floor: Floor = None,
    write: Preview = None,
    items: ItemsFile = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the re-pricing as HTTP answers it.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Write without asking.")] = False,
) -> None:
    """Preview what saved quotes cost on new prices, or write what a preview showed.

    The exit code is 1 if a quote could not be priced.
    """
    if context.invoked_subcommand is not None:
        return
    asked: _Json = {"mode": "write", "preview": write} if write else {}
    given = {"price_list": list_id, "revision": revision, "margin_floor": margin_floor}
    asked |= {name: value for name, value in given.items() if value is not None}
    if filters:
        chosen = asked["quotes"] = _filters(filters)
        if "issued" in chosen.get("states", ()):
            asked["include_issued"] = True
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, told():
        _reprice(store, catalog, asked, items, as_json=as_json, yes=yes)


def _filters(given: Sequence[str]) -> _Json:
    """Filters as a request gives them. Raises typer.BadParameter (exit code 2)."""
    chosen: _Json = {}
    for each in given:
        name, sign, value = each.partition("=")
        if not sign:
            raise typer.BadParameter(f"{each!r} is not NAME=VALUE, such as reference=job-0042")
        if name in _SEVERAL:
            chosen.setdefault(_SEVERAL[name], []).append(value)
        else:
            chosen[name] = int(value) if name.endswith("_revision") and value.isdigit() else value
    return chosen


def _reprice(
    store: Store,
    catalog: Catalog,
    asked: _Json,
    items: Path | None,
    *,
    as_json: bool,
    yes: bool,
) -> None:
    write_items = _items_writer(items)
    request = read_repricing_request(asked, catalog)
    if request.mode == "write" and not yes:
        _confirm(store, request.preview or "")
    owner = f"command_{secrets.token_hex(8)}"
    with store.write() as connection:
        run = start_repricing(connection, request, catalog, store.now())
        until = store.now() + LEASE_SECONDS
        leases.take_run(connection, run.asked.id, owner, until)
    with _bar(run) as advance:

        def after_chunk(_chunk: int) -> bool:
            advance(run.asked.chunk_size)
            with store.write() as connection:
                until = store.now() + LEASE_SECONDS
                return leases.renew_lease(connection, run.asked.id, owner, until)

        work_off(store, catalog, run.asked.id, after_chunk)
    with store.read() as connection:
        answer = read_repricing(connection, run.asked.id, store.now())
    if as_json:
        sys.stdout.buffer.write(encode_answer(answer))
        sys.stdout.buffer.flush()
    else:
        print_repricing(console_for(sys.stdout), answer, each_item(store, answer.id))
    make_waiting(store, catalog)
    if items is not None:
        _write_items(items, write_items(each_item(store, answer.id)))
    _check_done(answer)


def _items_writer(file: Path | None) -> Callable[[Iterable[RepricedItem]], Iterator[bytes]]:
    """How items are written into a file, by its ending. Raises typer.Exit (2) for another one."""
    if file is None or file.suffix.lower() == ".csv":
        return csv_rows
    if file.suffix.lower() in {".ndjson", ".jsonl"}:
        return ndjson
    raise ended("--items is a file that ends in .csv or .ndjson.", WRONG_USAGE)


def _write_items(file: Path, parts: Iterator[bytes]) -> None:
    try:
        with file.open("wb") as stream:
            stream.writelines(parts)
    except OSError as error:
        raise ended(f"{file} can't be written: {error.strerror}") from error
    typer.echo(f"Every quote of the run stands in {file}.", err=True)


def _check_done(answer: RepricingAnswer) -> None:
    """Whatever was not priced ends the command with exit code 1."""
    if answer.status != "succeeded":
        raise ended(f"The re-pricing is {answer.status}, not done.")
    if failed := answer.counts.failed:
        raise ended(f"{failed} of {counted(answer.counts.total, 'quote')} could not be priced.")


def _confirm(store: Store, preview_id: str) -> None:
    """Ask on a terminal; in a pipe nobody answers, so --yes is needed (exit code 2)."""
    if not sys.stdin.isatty():
        raise ended("Writing needs --yes where nobody can be asked.", WRONG_USAGE)
    with store.read() as connection:
        preview = read_repricing(connection, preview_id, store.now())
    question = (
        f"Write new revisions of {counted(preview.counts.total, 'quote')} on {preview.price_list} "
        f"{preview.revision}?"
    )
    if not typer.confirm(question, err=True):
        raise typer.Exit(1)


@contextlib.contextmanager
def _bar(run: Run) -> Iterator[Callable[[int], None]]:
    """A bar on stderr where that is a terminal; nothing in a pipe."""
    console = Console(file=sys.stderr)
    columns = (TextColumn("Re-pricing"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    shown = console.is_terminal
    with Progress(*columns, console=console, transient=True, disable=not shown) as progress:
        task = progress.add_task("re-pricing", total=run.total)
        yield lambda quotes: progress.advance(task, quotes)
