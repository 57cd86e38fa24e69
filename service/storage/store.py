"""A database to read from and to write to: the only place that begins and ends transactions."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, make_url, text

from service.storage import backup, migration
from service.storage.engine import close_file, open_engine, open_reading_engine
from service.storage.errors import StorageUnsafeError, translated

Clock = Callable[[], int]


def system_clock() -> int:
    """Seconds since 1970 in UTC."""
    return int(time.time())


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """An open database. Nothing is connected before the first use; threads may share it.

    `now` tells the time, in whole seconds since 1970. `unsafe` accepts a server that may lose
    acknowledged writes.
    """

    url: str
    now: Clock
    unsafe: bool
    _writing: Engine
    _reading: Engine

    @classmethod
    def open(cls, url: str, *, now: Clock = system_clock, unsafe: bool = False) -> Store:
        """The database that a URL names. Raises StorageUrlError."""
        return cls(
            url=url,
            now=now,
            unsafe=unsafe,
            _writing=open_engine(url, pooled=True),
            _reading=open_reading_engine(url),
        )

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that is committed when the block ends, and taken back when it raises.

        Nothing is tried twice: on SQLite the lock is taken at once, so there is no stale state to
        write over. Raises StorageFullError, StorageGoneError.
        """
        with translated(), self._writing.begin() as connection:
            yield connection

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """One state of the database to read from. Raises StorageGoneError."""
        with translated(), self._reading.connect() as connection:
            yield connection

    def migrate(self) -> None:
        """Make the database if need be, and bring its tables to head, all or nothing.

        Raises StorageUnsafeError for a server that may lose acknowledged writes.
        """
        if (file := self.file()) is not None:
            file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with self.write() as connection:
            self._check_safe(connection)
            migration.upgrade(connection)

    def at_head(self) -> bool:
        """Whether the tables are those that this version of the service works with."""
        with self.read() as connection:
            return migration.current(connection) == migration.head()

    def version(self) -> str:
        """The database's name and version, such as `SQLite 3.40.1`."""
        with self.read() as connection:
            if self._reading.dialect.name == "sqlite":
                return f"SQLite {connection.scalar(text('SELECT sqlite_version()'))}"
            # Debian writes `15.18 (Debian 15.18-0+deb12u1)`.
            found = str(connection.scalar(text("SHOW server_version"))).partition(" ")[0]
            return f"PostgreSQL {found}"

    def backup(self, path: Path) -> int:
        """Write a whole copy to a new file while the database is in use, and check it.

        Returns how many documents were checked against their digests. Raises
        BackupFailedError; then there is no file.
        """
        if self._reading.dialect.name == "sqlite":
            return backup.copy_sqlite(self._reading, path)
        return backup.dump_postgresql(self._reading, path)

    def file(self) -> Path | None:
        """The database's file; None for a server."""
        url = make_url(self.url)
        if url.get_backend_name() != "sqlite" or not url.database:
            return None
        return Path(url.database)

    def exists(self) -> bool:
        """Whether there is something to read: a server is taken to be there."""
        file = self.file()
        return file is None or file.exists()

    def close(self) -> None:
        """Close the connections that are not in use; an SQLite file then holds everything by
        itself, and no write-ahead log is left beside it unless another process has it open."""
        self._reading.dispose()
        if self._writing.dialect.name == "sqlite":
            close_file(self._writing)
        self._writing.dispose()

    def _check_safe(self, connection: Connection) -> None:
        """Refuse a server on which an acknowledged write may be lost."""
        if self.unsafe or self._writing.dialect.name != "postgresql":
            return
        for name in ("fsync", "synchronous_commit"):
            if connection.scalar(text(f"SHOW {name}")) == "off":
                raise StorageUnsafeError(
                    f"the PostgreSQL server runs with {name} = off: a write that was acknowledged "
                    "may be lost in a power cut. Turn it on, or set SERVICE_DATABASE_UNSAFE=true "
                    "where all data may be lost."
                )
