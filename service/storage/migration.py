"""Bringing a database to the newest revision of its tables, and asking which one it is at."""

from __future__ import annotations

import threading
from importlib.util import find_spec
from pathlib import Path

import alembic.command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from service.storage.errors import StorageError, StorageForeignError

# Alembic keeps what it is doing in module variables, so threads take turns.
_TURN = threading.Lock()


def upgrade(connection: Connection) -> None:
    """Bring the tables to head, in the caller's transaction.

    migrations/env.py takes the lock first, so that services which start together take turns.
    Raises StorageForeignError for tables of a revision that isn't known here.
    """
    check_known(current(connection))
    config = _config()
    config.attributes["connection"] = connection
    with _TURN:
        alembic.command.upgrade(config, "head")


def check_known(revision: str | None) -> None:
    """See that a database's revision is one of this version's, or none yet. Raises
    StorageForeignError."""
    scripts = ScriptDirectory.from_config(_config()).walk_revisions()
    if revision is not None and all(script.revision != revision for script in scripts):
        raise StorageForeignError(
            f"its tables are at revision {revision}, which this version of the service doesn't "
            f"know: they are of a newer one, or of something else (this one goes up to {head()})"
        )


def head() -> str:
    """The newest revision there is."""
    found = ScriptDirectory.from_config(_config()).get_current_head()
    if found is None:
        raise StorageError("there are no migrations")
    return found


def current(connection: Connection) -> str | None:
    """The revision a database is at; None for an empty one."""
    return MigrationContext.configure(connection).get_current_revision()


def _config() -> Config:
    """Alembic's configuration, wherever the migrations are installed."""
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
