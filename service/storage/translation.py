"""A driver's errors as those of storage, whichever database it is."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from types import MappingProxyType
from typing import Final

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from service.storage.errors import (
    StorageBusyError,
    StorageError,
    StorageForeignError,
    StorageFullError,
    StorageGoneError,
    StorageReadOnlyError,
)

_FULL: Final = frozenset({"SQLITE_FULL", "53100"})
_BUSY: Final = frozenset({"SQLITE_BUSY", "SQLITE_LOCKED", "55P03", "40001", "40P01"})
# By the first letters: I/O, no file; connection, shutdown or a statement's time, too many callers,
# the system below; a right that is missing.
_GONE: Final = (
    "SQLITE_IOERR",
    "SQLITE_CANTOPEN",
    "SQLITE_PROTOCOL",
    "08",
    "57",
    "53",
    "58",
    "42501",
)
_READ_ONLY: Final = ("SQLITE_READONLY", "SQLITE_PERM", "25006")
NO_RIGHT: Final = (
    "the user that the database's URL names may not read and write all tables: give the rights back"
)
_WHY_GONE: Final = MappingProxyType({"42501": NO_RIGHT})
_DAMAGED: Final = "the database is damaged; restore it from a copy that `db backup` made"
MISSING: Final = "tables or columns are missing; restore it from a copy that `db backup` made"
_FOREIGN: Final[Mapping[str, str]] = MappingProxyType(
    {
        "SQLITE_NOTADB": "this is no SQLite database; name another file, or restore it from a copy",
        **dict.fromkeys(
            ("SQLITE_CORRUPT", "SQLITE_CORRUPT_INDEX", "SQLITE_CORRUPT_VTAB", "XX001", "XX002"),
            _DAMAGED,
        ),
        **dict.fromkeys(("3F000", "42P01", "42703"), MISSING),
    }
)


@contextmanager
def translated() -> Iterator[None]:
    """Turn a driver's errors into those of storage; what none of them fits passes as it is."""
    try:
        yield
    except PoolTimeoutError as error:
        raise StorageBusyError("all connections to the database are in use") from error
    except DBAPIError as error:
        known = _known(code_of(error.orig), error)
        if known is None:
            raise
        raise known from error
    except sqlite3.Error as error:
        known = _known(code_of(error), None)
        if known is None:
            raise
        raise known from error


def _known(code: str, error: DBAPIError | None) -> StorageError | None:
    if code in _FULL:
        return StorageFullError("the database's disk is full")
    if code.startswith(tuple(_BUSY)):
        return StorageBusyError("another writer holds the database")
    if code.startswith(_READ_ONLY):
        return StorageReadOnlyError("the database can be read and not written to")
    if code in _FOREIGN:
        return StorageForeignError(_FOREIGN[code])
    if code.startswith(_GONE) or (error is not None and _unreached(error, code)):
        return StorageGoneError(_WHY_GONE.get(code, "the database can't be reached"))
    return None


def code_of(origin: object) -> str:
    """SQLite's name of the error, or the SQLSTATE."""
    found = getattr(origin, "sqlite_errorname", None) or getattr(origin, "sqlstate", None)
    return str(found or "")


def _unreached(error: DBAPIError, code: str) -> bool:
    """Whether the connection broke, or a driver could not even connect: then there is no code."""
    broken = type(error.orig).__name__ in {"OperationalError", "ConnectionTimeout"}
    return error.connection_invalidated or (not code and broken)
