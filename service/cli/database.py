"""`db`: bring the database to this version of the service, and copy it while it is in use."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.cli.start import STORAGE_OR_FILE, database, ended, read_settings, using_storage

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
    with database(read_settings()) as store:
        typer.echo(f"The database ({store.version()}) is at head.")


@db_app.command("backup")
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A new file for the copy.")],
) -> None:
    """Copy the database while it is in use, and check the copy. Never copy its files yourself."""
    with database(read_settings(), migrate=False) as store, using_storage(STORAGE_OR_FILE):
        if not store.exists():
            raise ended(f"There is no database at {store.file()}.")
        checked = store.backup(file)
    size = file.stat().st_size
    typer.echo(f"{file}: {size} bytes; {checked} documents checked against their digests.")
