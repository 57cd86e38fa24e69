"""`prices import`: a supplier's file into a price list of the database, previewed first."""

from __future__ import annotations

import json
import re
import sys
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from service import json_text
from service.catalog import Catalog
from service.cli import price_lists
from service.cli.columns import console_for
from service.cli.import_tables import option_of, print_preview
from service.cli.start import (
    AT_FAULT,
    WRONG_USAGE,
    database,
    ended,
    read_catalog,
    read_settings,
)
from service.fields import ID_PATTERN, calendar_day
from service.operations.conditions import ConditionFailedError, Conditions
from service.operations.prices.column_mapping import ColumnMapping, mapping_for, read_mapping
from service.operations.prices.import_acceptance import CHANGES, REMOVALS
from service.operations.prices.import_answer import ImportPreview, encode_preview
from service.operations.prices.import_merge import PriceFile
from service.operations.prices.price_imports import preview_import, write_import
from service.operations.prices.sheet import MOST_BYTES
from service.operations.prices.worksheet import FileKind
from service.operations.stored_refusals import PreviewChangedError
from service.storage import Store

prices_app = typer.Typer(
    name="prices",
    help="Price lists: what they say, and what a supplier changes.",
    no_args_is_help=True,
)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    price_lists.register(prices_app)
    app.add_typer(prices_app)


ListId = Annotated[str, typer.Option("--list", metavar="ID", help="Id of the price list.")]
FirstDay = Annotated[
    str,
    typer.Option("--effective-from", metavar="DATE", help="First day of the prices: 2026-05-04."),
]
MappingFile = Annotated[
    Path | None, typer.Option("--mapping", metavar="FILE", help="A column mapping as JSON.")
]


@prices_app.command("import")
def import_file(  # noqa: PLR0913  what a command can be told
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The supplier's CSV or XLSX.")],
    *,
    list_id: ListId,
    effective_from: FirstDay,
    mapping: MappingFile = None,
    note: Annotated[str | None, typer.Option("--note", help="A note on the revision.")] = None,
    write: Annotated[
        bool, typer.Option("--write", help="Publish what the preview shows; else only show it.")
    ] = False,
    accept_changes: Annotated[
        bool, typer.Option("--accept-changes", help="Large changes and costs of 0 are right.")
    ] = False,
    accept_removals: Annotated[
        bool, typer.Option("--accept-removals", help="What would be removed may go.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the preview as JSON.")] = False,
) -> None:
    """Show what a supplier's file would change and, with --write, publish it as one revision.

    Exit code 1: the file has faults, or a write was asked for that nobody accepted.
    """
    _check_id(list_id)
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, price_lists.told():
        read = PriceFile(
            data=_bytes(file, MOST_BYTES),
            kind=_kind(file),
            mapping=_mapping(store, catalog, list_id, mapping),
            effective_from=_day(effective_from),
            note=note,
            largest_change=settings.largest_price_change,
            accepted=frozenset(
                name
                for name, given in ((CHANGES, accept_changes), (REMOVALS, accept_removals))
                if given
            ),
        )
        preview = preview_import(store, catalog, list_id, read)
        _show(preview, as_json=as_json)
        if not preview.importable:
            raise typer.Exit(AT_FAULT)
        if write:
            _refuse_unaccepted(preview)
            _write(store, catalog, read, preview)


def _refuse_unaccepted(preview: ImportPreview) -> None:
    """End the command where a write needs a word that wasn't given."""
    if preview.needs:
        words = " and ".join(option_of(name) for name in preview.needs)
        raise ended(f"Nothing was written: look at what is to be accepted, then add {words}.")


def _write(store: Store, catalog: Catalog, file: PriceFile, preview: ImportPreview) -> None:
    """Publish just what was shown."""
    etag = preview.etag
    conditions = Conditions(if_none=True) if etag is None else Conditions(if_match=(etag,))
    try:
        stored = write_import(
            store, catalog, preview.id, file, preview.preview or "", conditions, None
        )
    except (ConditionFailedError, PreviewChangedError) as error:
        message = "Somebody published to the list meanwhile: nothing was written. Try it again."
        raise ended(message) from error
    answer = json.loads(stored.outcome.body)
    typer.echo(price_lists.published(preview.id, answer), err=True)


def _show(preview: ImportPreview, *, as_json: bool) -> None:
    if as_json:
        sys.stdout.buffer.write(encode_preview(preview) + b"\n")
        sys.stdout.buffer.flush()
    else:
        print_preview(console_for(sys.stdout), preview)


def _mapping(store: Store, catalog: Catalog, list_id: str, file: Path | None) -> ColumnMapping:
    """The mapping in a file, else the saved one."""
    if file is None:
        return mapping_for(store, catalog, list_id)
    try:
        return read_mapping(json_text.loads(_bytes(file, MOST_BYTES)), catalog)
    except json_text.JsonTextInvalidError as error:
        raise ended(f"{file}: {error}") from error


def _bytes(file: Path, most: int) -> bytes:
    """The bytes of a file, one more than is read at most; a missing one is wrong usage."""
    try:
        with file.open("rb") as stream:
            return stream.read(most + 1)
    except OSError as error:
        raise ended(f"{file} can't be read: {error.strerror}", WRONG_USAGE) from error


def _kind(file: Path) -> FileKind:
    """What a file is, by its ending; text is read as CSV, by the delimiter of the mapping."""
    kinds: dict[str, FileKind] = {".csv": "csv", ".txt": "csv", ".tsv": "csv", ".xlsx": "xlsx"}
    ending = file.suffix.lower()
    kind = kinds.get(ending)
    if kind is None:
        old = " An old workbook is saved as XLSX first." if ending == ".xls" else ""
        raise ended(f"FILE ends in .csv, .txt, .tsv or .xlsx.{old}", WRONG_USAGE)
    return kind


def _day(words: str) -> date:
    day = calendar_day(words)
    if day is None:
        message = "--effective-from is a date from 1900 to 2199, such as 2026-05-04."
        raise ended(message, WRONG_USAGE)
    return day


def _check_id(list_id: str) -> None:
    if not re.fullmatch(ID_PATTERN, list_id, re.ASCII):
        raise ended(
            "--list is an id of lower-case letters, digits and underscores, at most 64.",
            WRONG_USAGE,
        )
