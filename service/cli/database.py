"""`db`: bring the database to this version of the service, and copy it while it is in use."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from service.cli.serve import read_settings
from service.storage import StorageError, Store
from service.wiring import open_store

db_app = typer.Typer(
    name="db",
    help="The database of price lists and saved quotes (SERVICE_DATABASE_URL).",
    no_args_is_help=True,
)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(db_app)


@db_app.command("upgrade")
def upgrade() -> None:
    """Make the database if need be, and bring its tables to this version of the service."""
    with settings_store() as store:
        store.migrate()
        typer.echo(f"The database ({store.version()}) is at head.")


@db_app.command("backup")
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A new file for the copy.")],
) -> None:
    """Copy the database while it is in use, and check the copy. Never copy its files yourself."""
    with settings_store() as store:
        if not store.exists():
            typer.echo(f"There is no database at {store.file()}.", err=True)
            raise typer.Exit(1)
        checked = store.backup(file)
    size = file.stat().st_size
    typer.echo(f"{file}: {size} bytes; {checked} documents checked against their digests.")


@contextmanager
def settings_store() -> Iterator[Store]:
    """The database that the settings name; what it can't do ends the command with exit code 1."""
    try:
        store = open_store(read_settings())
        try:
            yield store
        finally:
            store.close()
    except (StorageError, OSError) as error:
        typer.echo(f"The database can't be used: {error}", err=True)
        raise typer.Exit(1) from error
