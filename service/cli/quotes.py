"""`quotes export`: saved quotes as lines of JSON or as CSV, as HTTP exports them."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import Annotated

import typer

from service.api.problems import ProblemError
from service.api.v1.saved_quotes.filters import FILTER_NAMES, read_filter
from service.cli.start import database, read_catalog, read_settings
from service.operations.saved.quote_export import Form, export_quotes
from service.storage.quote_filter import QuoteFilter

quotes = typer.Typer(help="Saved quotes.", no_args_is_help=True)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(quotes, name="quotes")


@quotes.command("export")
def export(
    *,
    filters: Annotated[
        list[str] | None,
        typer.Option(
            "--filter",
            metavar="NAME=VALUE",
            help=f"Which quotes; may be given several times. Names: {', '.join(FILTER_NAMES)}.",
        ),
    ] = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="CSV in place of lines of JSON.")] = False,
    lines: Annotated[
        bool, typer.Option("--lines", help="The price lines of the quotes, as CSV.")
    ] = False,
    full: Annotated[
        bool, typer.Option("--full", help="With request and answer; lines of JSON only.")
    ] = False,
) -> None:
    """Write saved quotes to stdout, the newest first."""
    if (as_csv or lines) and full:
        raise typer.BadParameter("--full goes with lines of JSON, not with --csv or --lines")
    wanted = _filter(filters or ())
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store:
        form: Form = "lines" if lines else "csv" if as_csv else "ndjson"
        for part in export_quotes(store, catalog, wanted, form, full=full):
            sys.stdout.buffer.write(part)
    sys.stdout.buffer.flush()


def _filter(given: Iterable[str]) -> QuoteFilter:
    """What the options ask of a quote; what can't be read is wrong usage."""
    read: dict[str, str] = {}
    for text in given:
        name, equals, value = text.partition("=")
        if not equals or name not in FILTER_NAMES or name in read:
            raise typer.BadParameter(
                f"--filter {text}: give each of {', '.join(FILTER_NAMES)} once"
            )
        read[name] = value
    try:
        return read_filter(read)
    except ProblemError as error:
        raise typer.BadParameter(error.faults[0].message) from error
