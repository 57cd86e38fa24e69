"""What commands begin with: the settings, and the catalog and the database that they name.

What is at fault is said on stderr. A wrong setting ends a command with exit code 2; a catalog or
a database that can't be used with exit code 1.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING

import typer
from pydantic import ValidationError

from service.catalog import Catalog, CatalogInvalidError
from service.cli.columns import printable
from service.settings import PREFIX, Settings, unknown_variables
from service.storage import StorageError
from service.wiring import open_store, settings_catalog

if TYPE_CHECKING:
    from service.storage import Store

AT_FAULT, WRONG_USAGE = 1, 2
STORAGE_OR_FILE = (StorageError, OSError)


def ended(message: str, code: int = AT_FAULT) -> typer.Exit:
    """The end of a command, to be raised: says why, line by line, and gives the exit code."""
    for line in message.splitlines():
        typer.echo(printable(line), err=True)
    return typer.Exit(code)


def read_settings() -> Settings:
    """The settings from the environment."""
    for name in unknown_variables(os.environ):
        typer.echo(f"{name} is not a setting of this service and is ignored.", err=True)
    try:
        return Settings()
    except ValidationError as error:
        for fault in error.errors(include_url=False, include_input=False, include_context=False):
            name = f"{PREFIX}{fault['loc'][0]}".upper()
            typer.echo(f"{name}: {fault['msg']}", err=True)
        raise typer.Exit(WRONG_USAGE) from error


def read_catalog(settings: Settings) -> Catalog:
    """The catalog that the settings name."""
    try:
        return settings_catalog(settings)
    except CatalogInvalidError as error:
        raise ended(str(error)) from error


@contextmanager
def using_storage(failures: tuple[type[Exception], ...] = (StorageError,)) -> Iterator[None]:
    """Around what reads and writes the database: its failures end the command."""
    try:
        yield
    except failures as error:
        raise ended(f"The database can't be used: {error}") from error


def open_database(settings: Settings, *, migrate: bool = True) -> Store:
    """The database, made and migrated, or as it is."""
    with using_storage(STORAGE_OR_FILE):
        store = open_store(settings)
        if migrate:
            store.migrate()
    return store


@contextmanager
def database(settings: Settings, *, migrate: bool = True) -> Iterator[Store]:
    """The database, made and migrated, or as it is; closed at the end."""
    with using_storage(), closing(open_database(settings, migrate=migrate)) as store:
        yield store
