"""`prices list`, `show`, `difference`, `mapping`: what price lists say, those of catalog files and
those of the database."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import msgspec
import typer

from service import json_text
from service.cli.columns import console_for
from service.cli.pointers import fault_words
from service.cli.price_list_tables import (
    print_difference,
    print_lists,
    print_publication,
    print_revision,
)
from service.cli.start import WRONG_USAGE, database, ended, read_catalog, read_settings
from service.core.errors import QuoteFaultsError
from service.faults import pointer
from service.fields import calendar_day
from service.operations.conditions import ConditionFailedError, Conditions, etag_of
from service.operations.prices.column_mapping import save_mapping, saved_mapping
from service.operations.prices.price_list_answer import to_item
from service.operations.prices.price_list_reads import (
    file_difference,
    list_ids,
    read_difference,
    read_file,
    read_revision,
    summarize,
)
from service.operations.prices.price_lists import publish
from service.operations.prices.publication_preview import preview_publication
from service.operations.stored_refusals import PriceListError, PriceListMissingError

ListName = Annotated[str, typer.Argument(metavar="LIST", help="Id of the price list.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print it as HTTP answers it.")]


def register(prices: typer.Typer) -> None:
    """Add the commands to those of price lists."""
    prices.command("list")(list_all)
    prices.command("show")(show)
    prices.command("difference")(show_difference)
    prices.command("mapping")(mapping)
    prices.command("publish")(publish_file)


@contextmanager
def told() -> Iterator[None]:
    """Say what is at fault, and what would be right, and end with exit code 1."""
    try:
        yield
    except QuoteFaultsError as error:
        raise ended(
            "\n".join(
                f"{fault_words(pointer(fault.at), fault.message, 'the file')}{_hinted(fault.hint)}"
                for fault in error.faults
            )
        ) from error
    except PriceListError as error:
        raise ended(f"{error}{_hinted(error.fault.hint)}") from error


def list_all(*, as_json: AsJson = False) -> None:
    """List every price list with its newest revision."""
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, told():
        lists = summarize(store, catalog, list_ids(store, catalog))
    if as_json:
        _print_json(msgspec.to_builtins(lists))
    else:
        print_lists(console_for(sys.stdout), lists)


def show(
    list_id: ListName,
    *,
    revision: Annotated[
        int | None, typer.Option(help="Its revision; left out, the latest.", min=1)
    ] = None,
    on: Annotated[
        str | None, typer.Option(metavar="DATE", help="The latest that holds on this day.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show the prices of a revision by supplier."""
    if revision is not None and on is not None:
        raise typer.BadParameter("--revision and --on exclude each other")
    day = None if on is None else _day(on)
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, told():
        if list_id in catalog.price_lists:
            document: Any = read_file(catalog, list_id, revision, day)
            prices = catalog.price_lists[list_id].core.items
            items = {item: to_item(price) for item, price in prices.items()}
        else:
            _, answer = read_revision(store, catalog, list_id, revision, day)
            document, items = msgspec.to_builtins(answer), answer.items
    if as_json:
        _print_json(document)
    else:
        print_revision(console_for(sys.stdout), document, items)


def show_difference(
    list_id: ListName,
    old: Annotated[int, typer.Argument(metavar="OLD", help="The older revision.", min=1)],
    new: Annotated[
        int | None, typer.Argument(metavar="NEW", help="The newer; left out, the latest.", min=1)
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Show what leads from one revision to another, the largest rise first."""
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, told():
        if list_id in catalog.price_lists:
            found = file_difference(catalog, list_id, old, new)
        else:
            found = read_difference(store, catalog, list_id, old, new)
    if as_json:
        _print_json(msgspec.to_builtins(found))
    else:
        print_difference(console_for(sys.stdout), found)


def mapping(
    list_id: ListName,
    *,
    save: Annotated[
        Path | None, typer.Option(metavar="FILE", help="A column mapping as JSON, to be kept.")
    ] = None,
) -> None:
    """Print how the columns of a list's files are read, or keep another mapping for them."""
    document = None if save is None else _document(save)
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, told():
        try:
            kept = saved_mapping(store, list_id)
        except PriceListMissingError:
            if save is None:
                raise
            kept = None
        if save is None and kept is not None:
            _print_json(json.loads(kept.content))
            return
        conditions = (
            Conditions(if_none=True)
            if kept is None
            else Conditions(if_match=(etag_of(kept.content_digest),))
        )
        try:
            save_mapping(store, catalog, list_id, document, conditions, None)
        except ConditionFailedError as error:
            message = "Somebody saved a mapping meanwhile: nothing was kept. Look at it first."
            raise ended(message) from error
    typer.echo(f"Files of {list_id} are read by {save}.", err=True)


def publish_file(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", help="JSON: a whole list, or changes to the latest."),
    ],
    *,
    list_id: Annotated[str, typer.Option("--list", metavar="ID", help="Id of the price list.")],
    write: Annotated[
        bool, typer.Option("--write", help="Publish what is shown; else only show it.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Show what publishing a list or changes would do and, with --write, do it."""
    document = _document(file)
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, told():
        shown = preview_publication(store, catalog, list_id, document)
        if as_json:
            _print_json(msgspec.to_builtins(shown))
        else:
            print_publication(console_for(sys.stdout), shown)
        if not write:
            return
        tag = shown.etag
        conditions = Conditions(if_none=True) if tag is None else Conditions(if_match=(tag,))
        try:
            stored = publish(store, catalog, list_id, document, conditions, None)
        except ConditionFailedError as error:
            message = "Somebody published to the list meanwhile: nothing was written. Try it again."
            raise ended(message) from error
    typer.echo(published(list_id, json.loads(stored.outcome.body)), err=True)


def published(list_id: str, answer: Mapping[str, Any]) -> str:
    """What became of a publication, in words."""
    done = "published" if answer["new"] else "is what the list says already; nothing was published"
    return f"Revision {answer['revision']} of {list_id} {done}."


def _document(file: Path) -> object:
    try:
        return json_text.loads(file.read_bytes())
    except OSError as error:
        raise ended(f"{file} can't be read: {error.strerror}", WRONG_USAGE) from error
    except json_text.JsonTextInvalidError as error:
        raise ended(f"{file}: {error}") from error


def _day(words: str) -> date:
    day = calendar_day(words)
    if day is None:
        raise ended("--on is a date from 1900 to 2199, such as 2026-05-04.", WRONG_USAGE)
    return day


def _hinted(hint: str | None) -> str:
    return f" ({hint})" if hint else ""


def _print_json(document: object) -> None:
    sys.stdout.buffer.write(json.dumps(document, indent=2, ensure_ascii=False).encode() + b"\n")
    sys.stdout.buffer.flush()
