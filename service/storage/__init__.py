"""What is kept: the code behind `migrations/`. Nothing outside this folder knows the database.

Queries are plain functions, one module per resource, that take an open `Connection` first.
"""

from sqlalchemy import Connection

from service.storage.backup import BackupFailedError
from service.storage.engine import open_engine, open_reading_engine
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
