"""What is kept: the code behind `migrations/`. Nothing outside this folder knows the database.

Queries are plain functions, one module per resource, that take an open `Connection` first.
What needs the database's library is imported on first use: who only quotes has no need of it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from service.storage.errors import (
    StorageBehindError,
    StorageBusyError,
    StorageError,
    StorageForeignError,
    StorageFullError,
    StorageGoneError,
    StorageMovedError,
    StorageReadOnlyError,
    StorageUnsafeError,
    StorageUrlError,
)

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from service.storage.backup import BackupFailedError
    from service.storage.engine import open_engine, open_reading_engine
    from service.storage.store import Clock, Store, system_clock

__all__ = [
    "BackupFailedError",
    "Clock",
    "Connection",
    "StorageBehindError",
    "StorageBusyError",
    "StorageError",
    "StorageForeignError",
    "StorageFullError",
    "StorageGoneError",
    "StorageMovedError",
    "StorageReadOnlyError",
    "StorageUnsafeError",
    "StorageUrlError",
    "Store",
    "open_engine",
    "open_reading_engine",
    "system_clock",
]

_LATE = {
    "BackupFailedError": "service.storage.backup",
    "Clock": "service.storage.store",
    "Connection": "sqlalchemy",
    "Store": "service.storage.store",
    "open_engine": "service.storage.engine",
    "open_reading_engine": "service.storage.engine",
    "system_clock": "service.storage.store",
}


def __getattr__(name: str) -> object:
    """What is imported on first use."""
    if name not in _LATE:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    return getattr(import_module(_LATE[name]), name)
