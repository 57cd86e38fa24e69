"""Bringing a database to the newest revision of its tables, and asking which one it is at.

Alembic is loaded when a database is opened, so that whoever only quotes doesn't wait for it.
"""

from __future__ import annotations

import threading
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from service.storage.errors import StorageBehindError, StorageError, StorageForeignError
from service.storage.translation import MISSING, code_of
from service.storage.turns import Turn, take_turn

if TYPE_CHECKING:
    from alembic.config import Config

# Alembic keeps what it is doing in module variables, so threads take turns.
_TURN = threading.Lock()
# What a database says of a statement whose table isn't there.
_NO_TABLE: Final = frozenset({"SQLITE_ERROR", "42P01"})
OTHER_TABLES: Final = (
    "its tables are those of another version of the service: start this one again, or the one "
    "that they belong to"
)


def upgrade(connection: Connection) -> None:
    """Bring the tables to head, in the caller's transaction. Tables that are there already are
    left as they are.

    Services that start together take turns. migrations/env.py waits for whoever uses the tables,
    and keeps others out: each transaction looks at their revision first (`check_current`). Raises
    StorageForeignError for tables of a revision that isn't known here.
    """
    import alembic.command  # noqa: PLC0415

    take_turn(connection, Turn.MIGRATION)
    found = current(connection)
    check_known(found)
    if found == head():
        return
    config = _config()
    config.attributes["connection"] = connection
    with _TURN:
        alembic.command.upgrade(config, "head")


def check_known(revision: str | None) -> None:
    """See that a database's revision is one of this version's, or none yet. Raises
    StorageForeignError."""
    if revision is not None and revision not in _revisions():
        raise StorageForeignError(
            f"its tables are at revision {revision}, which this version of the service doesn't "
            f"know: they are of a newer one, or of something else (this one goes up to {head()})"
        )


def check_current(connection: Connection) -> None:
    """See that the tables are those of this version: those of another one may have room for what
    this one writes, and take it for something else. To the end of the transaction nobody migrates
    them. Raises StorageBehindError; StorageForeignError where there are none, as while a copy is
    restored."""
    try:
        if connection.dialect.name == "postgresql":
            # Before anything is read: who waits here for a migration then sees what it came to.
            connection.exec_driver_sql("LOCK TABLE alembic_version IN ACCESS SHARE MODE")
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    except DBAPIError as error:
        if code_of(error.orig) not in _NO_TABLE:
            raise
        raise StorageForeignError(MISSING) from error
    if found != head():
        raise StorageBehindError(OTHER_TABLES)


def head() -> str:
    """The newest revision there is."""
    return _revisions()[-1]


@cache
def _revisions() -> tuple[str, ...]:
    """All revisions in their order, by the numbers that their files begin with."""
    files = (_folder() / "versions").glob("[0-9]*_*.py")
    return tuple(sorted(file.name.partition("_")[0] for file in files))


def current(connection: Connection) -> str | None:
    """The revision a database is at; None for an empty one."""
    from alembic.runtime.migration import MigrationContext  # noqa: PLC0415

    return MigrationContext.configure(connection).get_current_revision()


def _config() -> Config:
    """Alembic's configuration, wherever the migrations are installed."""
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(_folder()).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def _folder() -> Path:
    """The folder of the migrations: the checkout's own, else the installed package's."""
    spec = find_spec("service_migrations")
    installed = spec.submodule_search_locations if spec else None
    beside = Path(__file__).resolve().parents[2] / "migrations"
    places = [beside, *(Path(place) for place in installed or ())]
    for place in places:
        if (place / "env.py").is_file():
            return place
    raise StorageError("the migrations are not installed (the package service_migrations)")
