"""A database to read from and to write to: the only place that begins and ends transactions."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, tzinfo
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, event, make_url, text

from service.storage import backup, condition, migration
from service.storage.database_file import DatabaseFile, Identity, check_plain, read_revision
from service.storage.days import ZONE, end_of
from service.storage.engine import CALL_WAIT_S, close_file, open_engine, open_reading_engine
from service.storage.errors import (
    StorageBehindError,
    StorageFullError,
    StorageGoneError,
    StorageUnsafeError,
)
from service.storage.events import ACTING, KEPT_DAYS
from service.storage.translation import translated
from service.storage.users import Users

Clock = Callable[[], int]
# Who writes unless somebody else is named.
COMMAND_LINE: Final = "command-line"
EVENT_DAYS: Final = 400


def system_clock() -> int:
    """Seconds since 1970 in UTC."""
    return int(time.time())


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """An open database. Nothing is connected before the first use; threads may share it.

    `now` tells the time, in whole seconds since 1970; days begin and end at midnight of `zone`.
    `unsafe` accepts a server that may lose acknowledged writes. `by` is who acts in what is
    written, `event_days` for how many days events are kept.
    """

    url: str
    now: Clock
    unsafe: bool
    zone: tzinfo
    by: str
    event_days: int
    _writing: Engine
    _reading: Engine
    _file: DatabaseFile | None
    # Set while the last write found no room.
    _full: threading.Event = field(default_factory=threading.Event)
    _users: Users = field(default_factory=Users)

    @classmethod
    def open(
        cls,
        url: str,
        *,
        now: Clock = system_clock,
        unsafe: bool = False,
        zone: tzinfo = UTC,
        event_days: int = EVENT_DAYS,
    ) -> Store:
        """The database that a URL names. Raises StorageUrlError."""
        writing, reading = open_engine(url, pooled=True), open_reading_engine(url)
        return cls(
            url=url,
            now=now,
            unsafe=unsafe,
            zone=zone,
            by=COMMAND_LINE,
            event_days=event_days,
            _writing=writing,
            _reading=reading,
            _file=_file_of(url, writing, reading),
        )

    def today(self) -> date:
        """The day it is by now."""
        return datetime.fromtimestamp(self.now(), self.zone).date()

    def end_of(self, day: date) -> int:
        """The moment at which a day is over."""
        return end_of(day, self.zone)

    def last_day_before(self, moment: int) -> date:
        """The day that is over at a moment, or under way just before it."""
        return datetime.fromtimestamp(moment - 1, self.zone).date()

    def acting_as(self, by: str) -> Store:
        """The same database, written to by somebody: a key's id, `link`, `website`, `loopback` or
        `command-line`."""
        return replace(self, by=by)

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that is committed when the block ends, and taken back when it raises.

        Nothing is tried twice: on SQLite the lock is taken at once, so there is no stale state to
        write over. A file, or its log, that was deleted or replaced meanwhile is noticed before
        the commit and once more after it. Raises StorageFullError, StorageGoneError;
        StorageBehindError where another version of the service has brought the tables to its own.
        """
        try:
            with self._users.one(), translated():
                begun = self._begun()
                with self._writing.begin() as connection:
                    acts = {ACTING: self.by, KEPT_DAYS: self.event_days}
                    connection.execution_options(**acts, **{ZONE: self.zone})
                    migration.check_current(connection)
                    self._hold_log()
                    yield connection
                    self._check_file(begun)
                self._check_file(begun)
        except StorageFullError:
            self._full.set()
            raise
        self._full.clear()

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """One state of the database to read from. Raises StorageGoneError, StorageBehindError."""
        with self._look() as connection:
            migration.check_current(connection)
            self._hold_log()
            yield connection

    def migrate(self) -> None:
        """Make the database if need be, and bring its tables to head, all or nothing.

        Raises StorageUnsafeError for a server that may lose acknowledged writes,
        StorageForeignError for what is no database of this service.
        """
        if (file := self.file()) is not None:
            _make_folder(file.parent)
            check_plain(file)
            self._begun()
            if file.exists():
                migration.check_known(read_revision(file))
        engine = open_engine(self.url)
        with translated(), engine.begin() as connection:
            self._check_safe(connection)
            migration.upgrade(connection)
        if self._file is not None:
            self._file.settle()

    def at_head(self) -> bool:
        """Whether the tables are those that this version of the service works with."""
        if not self.exists():
            return False
        with self._look() as connection:
            return migration.current(connection) == migration.head()

    def check(self) -> None:
        """See that it can be read and written to. Raises StorageError, which says what is amiss.

        Nothing is waited for longer than a second or two, except a server that is gone.
        """
        self._begun()
        if not self.exists():
            raise StorageBehindError(migration.OTHER_TABLES)
        with self._look() as connection:
            migration.check_current(connection)
        with self._users.one(), translated():
            condition.check_writable(self._reading, self.file())
        if self._full.is_set():
            with self.write() as connection:
                condition.try_room(connection)

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
        sqlite = self._reading.dialect.name == "sqlite"
        with self._users.one():
            return (backup.copy_sqlite if sqlite else backup.dump_postgresql)(self._reading, path)

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
        """Close all connections, for good: whoever is at the database in another thread ends first
        (10 s are given), and who comes later finds it gone. An SQLite file then holds everything
        by itself, and no write-ahead log is left beside it unless another process has it open."""
        self._users.close(CALL_WAIT_S)
        self._reading.dispose()
        if self._writing.dialect.name == "sqlite":
            close_file(self._writing)
        self._writing.dispose()

    @contextmanager
    def _look(self) -> Iterator[Connection]:
        """One state of the database, of whichever version its tables are."""
        with self._users.one(), translated():
            self._begun()
            with self._reading.connect() as connection:
                connection.execution_options(**{ZONE: self.zone})
                yield connection

    def _begun(self) -> Identity | None:
        return None if self._file is None else self._file.begin()

    def _hold_log(self) -> None:
        if self._file is not None:
            self._file.hold()

    def _check_file(self, begun: Identity | None) -> None:
        if self._file is not None:
            self._file.check(begun)

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


def _file_of(url: str, writing: Engine, reading: Engine) -> DatabaseFile | None:
    """The watch over an SQLite file."""
    if writing.dialect.name != "sqlite" or writing.url.database in {None, "", ":memory:"}:
        return None

    def forget() -> None:
        reading.dispose()
        writing.dispose()

    file = DatabaseFile(Path(str(make_url(url).database)), forget=forget, head=migration.head)
    for engine in (writing, reading):
        event.listen(engine, "close", lambda _raw, _record: file.let_go())
    return file


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StorageGoneError(f"the folder {folder} can't be made: {error.strerror}") from error
