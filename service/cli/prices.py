"""`prices import`: a supplier's file into a price list of the database, previewed first."""

from __future__ import annotations

import json
import sys
from datetime import date
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from service import json_text
from service.catalog import Catalog, CatalogInvalidError
from service.cli.columns import console_for, print_heading, print_text, printable
from service.cli.database import settings_store
from service.cli.serve import read_settings
from service.core.errors import QuoteFaultsError
from service.operations.conditions import ConditionFailedError, Conditions
from service.operations.prices.column_mapping import ColumnMapping, mapping_for, read_mapping
from service.operations.prices.price_imports import (
    ImportPreview,
    PreviewChangedError,
    PriceFile,
    encode_preview,
    preview_import,
    write_import,
)
from service.operations.prices.price_lists import PriceListError
from service.operations.prices.sheet import MOST_BYTES, FileKind
from service.storage import Store
from service.wiring import settings_catalog

SHOWN = 20

prices_app = typer.Typer(name="prices", help="Price lists of the database.", no_args_is_help=True)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(prices_app)


@prices_app.callback()
def prices() -> None:
    """Keep `import` a command of its own, though it is the only one."""


@prices_app.command("import")
def import_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The supplier's CSV or XLSX.")],
    *,
    list_id: Annotated[str, typer.Option("--list", metavar="ID", help="Id of the price list.")],
    effective_from: Annotated[
        str,
        typer.Option(
            "--effective-from", metavar="DATE", help="First day of the prices: 2026-05-04."
        ),
    ],
    mapping: Annotated[
        Path | None,
        typer.Option("--mapping", metavar="FILE", help="A column mapping as JSON."),
    ] = None,
    note: Annotated[str | None, typer.Option("--note", help="A note on the revision.")] = None,
    write: Annotated[
        bool, typer.Option("--write", help="Publish what the preview shows; else only show it.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the preview as JSON.")] = False,
) -> None:
    """Show what a supplier's file would change and, with --write, publish it as one revision."""
    _check_id(list_id)
    catalog = _catalog()
    with settings_store() as store:
        store.migrate()
        try:
            read = PriceFile(
                data=_bytes(file, MOST_BYTES),
                kind=_kind(file),
                mapping=_mapping(store, catalog, list_id, mapping),
                effective_from=_day(effective_from),
                note=note,
            )
            preview = preview_import(store, catalog, list_id, read)
            _show(preview, as_json=as_json)
            if not preview.importable:
                raise typer.Exit(1)
            if write and preview.preview is not None:
                _write(store, catalog, read, preview)
        except QuoteFaultsError as error:
            for fault in error.faults:
                typer.echo(printable(fault.message), err=True)
            raise typer.Exit(1) from error
        except PriceListError as error:
            typer.echo(printable(str(error)), err=True)
            raise typer.Exit(1) from error


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
        typer.echo(message, err=True)
        raise typer.Exit(1) from error
    answer = json.loads(stored.outcome.body)
    done = "published" if answer["new"] else "is what the list says already; nothing was published"
    typer.echo(f"Revision {answer['revision']} of {preview.id} {done}.", err=True)


def _show(preview: ImportPreview, *, as_json: bool) -> None:
    if as_json:
        sys.stdout.buffer.write(encode_preview(preview) + b"\n")
        sys.stdout.buffer.flush()
        return
    console = console_for(sys.stdout)
    if preview.faults:
        print_heading(console, f"{preview.faults_total} faults: nothing can be imported")
        for fault in preview.faults[:SHOWN]:
            hint = f" ({fault.hint})" if fault.hint else ""
            print_text(console, f"{fault.cell or 'the file'}: {fault.message}{hint}")
        _more(console, preview.faults_total)
        return
    print_heading(console, f"Price list {preview.id} from {preview.effective_from}")
    counts = (
        f"{preview.rows} rows: {preview.changed_total} changed, {preview.added_total} added, "
        f"{preview.removed_total} removed, {preview.unchanged} as before, "
        f"{preview.skipped} passed over"
    )
    print_text(console, counts)
    _print_changed(console, preview)
    for name, items in (("Added", preview.added), ("No longer sold", preview.removed)):
        if items:
            print_heading(console, name)
            for item in items[:SHOWN]:
                print_text(console, f"{item.item}: {item.unit_cost} per {item.per}")
            _more(console, len(items))
    if preview.remarks:
        print_heading(console, "Remarks")
        for remark in preview.remarks[:SHOWN]:
            print_text(console, f"{remark.cell}: {remark.message}")
        _more(console, preview.remarks_total)


def _print_changed(console: Console, preview: ImportPreview) -> None:
    if not preview.changed:
        return
    table = Table("item", "old", "new", "per", "change", "%", box=None)
    for changed in preview.changed[:SHOWN]:
        table.add_row(
            changed.item,
            changed.old.unit_cost,
            changed.new.unit_cost,
            changed.new.per,
            changed.change or "",
            changed.percent or "",
        )
    console.print(table)
    _more(console, preview.changed_total)


def _more(console: Console, total: int) -> None:
    if total > SHOWN:
        print_text(console, f"and {total - SHOWN} more (--json shows up to a thousand)")


def _catalog() -> Catalog:
    try:
        return settings_catalog(read_settings())
    except CatalogInvalidError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(1) from error


def _mapping(store: Store, catalog: Catalog, list_id: str, file: Path | None) -> ColumnMapping:
    """The mapping in a file, else the saved one."""
    if file is None:
        return mapping_for(store, catalog, list_id)
    try:
        return read_mapping(json_text.loads(_bytes(file, MOST_BYTES)), catalog)
    except json_text.JsonTextInvalidError as error:
        typer.echo(f"{printable(str(file))}: {error}", err=True)
        raise typer.Exit(1) from error


def _bytes(file: Path, most: int) -> bytes:
    """The bytes of a file, one more than is read at most; a missing one is wrong usage."""
    try:
        with file.open("rb") as stream:
            return stream.read(most + 1)
    except OSError as error:
        typer.echo(f"{printable(str(file))} can't be read: {error.strerror}", err=True)
        raise typer.Exit(2) from error


def _kind(file: Path) -> FileKind:
    kinds: dict[str, FileKind] = {".csv": "csv", ".xlsx": "xlsx"}
    kind = kinds.get(file.suffix.lower())
    if kind is None:
        typer.echo("FILE ends in .csv or .xlsx.", err=True)
        raise typer.Exit(2)
    return kind


def _day(words: str) -> date:
    try:
        return date.fromisoformat(words)
    except ValueError as error:
        typer.echo("--effective-from is a date such as 2026-05-04.", err=True)
        raise typer.Exit(2) from error


def _check_id(list_id: str) -> None:
    if not (0 < len(list_id) <= _LONGEST_ID and set(list_id) <= _ID_LETTERS):
        typer.echo("--list is an id of lower-case letters, digits and underscores.", err=True)
        raise typer.Exit(2)


_LONGEST_ID = 64
_ID_LETTERS = frozenset("abcdefghijklmnopqrstuvwxyz0123456789_")
