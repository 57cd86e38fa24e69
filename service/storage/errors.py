"""What can go wrong with a database, whichever one it is.

StorageError
├── StorageFullError     no room left on its disk; what is there can still be read
├── StorageGoneError     it can't be reached, or is busy for longer than one waits
│   └── StorageBusyError another writer holds it
├── StorageUnsafeError   it is set so that an acknowledged write may be lost
└── StorageUrlError      the URL names no database that can be opened here

Each says what happened in words for whoever runs the service; no driver's text leaves here.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

_FULL: Final = frozenset({"SQLITE_FULL", "53100"})
_BUSY: Final = frozenset({"SQLITE_BUSY", "SQLITE_LOCKED", "55P03", "40001", "40P01"})
# By the first letters: I/O, no leave to write, no file; connection, shutdown, too many callers.
_GONE: Final = ("SQLITE_IOERR", "SQLITE_READONLY", "SQLITE_CANTOPEN", "08", "57P", "53")


class StorageError(Exception):
    """Root of the errors of storage."""


class StorageFullError(StorageError):
    """The database has no room left."""


class StorageGoneError(StorageError):
    """The database can't be reached now."""


class StorageBusyError(StorageGoneError):
    """Another writer held the database for too long."""


class StorageUnsafeError(StorageError):
    """The server's settings allow an acknowledged write to be lost."""


class StorageUrlError(StorageError):
    """The URL names no database that can be opened here."""


@contextmanager
def translated() -> Iterator[None]:
    """Turn a driver's errors into those above; what none of them fits passes as it is."""
    try:
        yield
    except PoolTimeoutError as error:
        raise StorageBusyError("all connections to the database are in use") from error
    except DBAPIError as error:
        known = _known(error)
        if known is None:
            raise
        raise known from error


def _known(error: DBAPIError) -> StorageError | None:
    code = _code(error)
    if code in _FULL:
        return StorageFullError("the database's disk is full")
    if code.startswith(tuple(_BUSY)):
        return StorageBusyError("another writer holds the database")
    if error.connection_invalidated or code.startswith(_GONE) or _unreached(error, code):
        return StorageGoneError("the database can't be reached")
    return None


def _code(error: DBAPIError) -> str:
    """SQLite's name of the error, or the SQLSTATE."""
    origin = error.orig
    found = getattr(origin, "sqlite_errorname", None) or getattr(origin, "sqlstate", None)
    return str(found or "")


def _unreached(error: DBAPIError, code: str) -> bool:
    """Whether a driver could not even connect, so that there is no code."""
    return not code and type(error.orig).__name__ == "OperationalError"
