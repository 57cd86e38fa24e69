"""What can go wrong with a database, whichever one it is.

StorageError
├── StorageFullError     no room left on its disk; what is there can still be read
├── StorageGoneError     it can't be reached, or is busy for longer than one waits
│   ├── StorageBusyError     another writer holds it, or too many callers wait for it
│   ├── StorageReadOnlyError it can be read and not written to
│   ├── StorageMovedError    its file was deleted or replaced
│   └── StorageBehindError   its tables are those of another version of the service
├── StorageForeignError  what is there is no database of this service, or is damaged
├── StorageUnsafeError   it is set so that an acknowledged write may be lost
└── StorageUrlError      the URL names no database that can be opened here

Each says what happened in words for whoever runs the service; no driver's text leaves here.
"""

from __future__ import annotations


class StorageError(Exception):
    """Root of the errors of storage."""


class StorageFullError(StorageError):
    """The database has no room left."""


class StorageGoneError(StorageError):
    """The database can't be reached now."""


class StorageBusyError(StorageGoneError):
    """Another writer held the database for too long."""


class StorageReadOnlyError(StorageGoneError):
    """The database can be read and not written to."""


class StorageMovedError(StorageGoneError):
    """The database's file is not the one that was opened."""


class StorageBehindError(StorageGoneError):
    """The database's tables are those of another version of the service."""


class StorageForeignError(StorageError):
    """What is there is no database of this service, or is damaged."""


class StorageUnsafeError(StorageError):
    """The server's settings allow an acknowledged write to be lost."""


class StorageUrlError(StorageError):
    """The URL names no database that can be opened here."""
