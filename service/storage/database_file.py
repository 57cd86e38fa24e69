"""The file of an SQLite database: whether it is one of ours, and still the one that was opened.

A process goes on writing into a file that was deleted or replaced under it, and every save would
be acknowledged and lost. So each transaction looks at the device and inode of the file, and of the
write-ahead log beside it, which has what was saved last: calls of some microseconds.

SQLite makes the log when the first connection reads, and deletes it when the last one is closed,
never before: a connection holds a lock on the file as long as it is open (its page *Write-Ahead
Logging*, 2.2 and 3). So the log that was there at a transaction is there until a connection closes.
"""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from service.storage.errors import (
    StorageBehindError,
    StorageForeignError,
    StorageGoneError,
    StorageMovedError,
)
from service.storage.translation import translated

Identity = tuple[int, int]
_LOOK_SECONDS = 5.0
_DO = "put a copy that `db backup` made in its place, or stop the service and start it again"
_WRITE_BACK = (
    "stop the service by SIGTERM, which writes what it holds into the database, and start it again"
)
_OTHER_KINDS = {
    stat.S_IFDIR: "a folder",
    stat.S_IFIFO: "a pipe",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
    stat.S_IFSOCK: "a socket",
}


class Log(NamedTuple):
    """A write-ahead log: where it is, and which file that was."""

    path: Path
    identity: Identity


class DatabaseFile:
    """The file that a store works on. Threads may share it.

    `forget` closes all connections to it; `head` gives the revision of this version's tables.
    """

    def __init__(self, path: Path, *, forget: Callable[[], None], head: Callable[[], str]) -> None:
        self.path = path
        self._forget, self._head = forget, head
        self._known: Identity | None = None
        self._log: Log | None = None  # the last one that was seen
        self._held: Log | None = None  # the one that connections have open
        self._lock = threading.Lock()

    def settle(self) -> None:
        """Take the file that stands there now as the one to work on."""
        self._known = identity(self.path)

    def begin(self) -> Identity | None:
        """The file that a transaction begins on; None before one was settled on.

        A whole database of this version that was put in its place is taken over. Raises
        StorageMovedError where there is no such file, StorageGoneError where it can't be read.
        """
        found = identity(self.path)
        if self._known is None or (found is not None and found == self._known):
            self._check_log()
            return found
        with self._lock:
            if found != self._known:
                self._take_over(found)
        return found

    def hold(self) -> None:
        """Note the log that a transaction which has read something holds open."""
        if self._held is None:
            path = log_of(self.path)
            found = identity(path)
            self._held = None if found is None else Log(path, found)
            self._log = self._held or self._log

    def let_go(self) -> None:
        """A connection is closed, and SQLite may delete the log with it."""
        self._held = None

    def check(self, begun: Identity | None) -> None:
        """See that the file is still the one that a transaction began on. Raises
        StorageMovedError."""
        if self._known is None:
            return
        if identity(self.path) != begun:
            raise StorageMovedError(f"{self.path} was deleted or replaced; {_DO}")
        self._check_log()

    def _check_log(self) -> None:
        held = self._held
        if held is None or identity(held.path) == held.identity:
            return
        if self._held is held:  # nobody has closed a connection meanwhile
            raise StorageMovedError(f"{held.path} was deleted or replaced; {_WRITE_BACK}")

    def _take_over(self, found: Identity | None) -> None:
        """Go over to what stands there. It is looked at without the log beside it, which belongs
        to the file before; until it is found good, that one could come back."""
        if found is None:
            raise StorageMovedError(f"{self.path} is gone; {_DO}")
        if read_revision(self.path, alone=True) != self._head():
            raise StorageBehindError(
                f"{self.path} was replaced by a database of another version; start the service "
                "again, which brings it to this one"
            )
        self._forget()
        self._drop_log()
        self._known = found

    def _drop_log(self) -> None:
        """Remove the write-ahead log of the file that was there before: SQLite would play it back
        into the new one."""
        log = self._log
        if log is not None and identity(log.path) == log.identity:
            log.path.unlink(missing_ok=True)
            Path(f"{str(log.path).removesuffix('-wal')}-shm").unlink(missing_ok=True)


def identity(path: Path) -> Identity | None:
    """Device and inode of a file; None where there is none. Raises StorageGoneError."""
    try:
        found = os.stat(path)  # noqa: PTH116  the quickest way; each transaction asks
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        raise StorageGoneError(f"{path} can't be reached: {error.strerror}") from error
    return found.st_dev, found.st_ino


def log_of(path: Path) -> Path:
    """The write-ahead log beside a file; of a link, beside what it leads to."""
    return Path(f"{os.path.realpath(path)}-wal")


def read_revision(path: Path, *, alone: bool = False) -> str | None:
    """The revision of a file's tables; None of an empty one. With `alone` nothing beside the file
    is read, and nobody may be writing to it.

    Through SQLite alone: to open the file and close it would let go of the locks that this
    process holds on it (its page *How To Corrupt An SQLite Database File*, 2.2). Raises
    StorageForeignError, StorageGoneError.
    """
    check_plain(path)
    if not os.access(path, os.R_OK):
        raise StorageGoneError(f"{path} can't be read: there is no leave to")
    try:
        with translated():
            return _revision(f"{uri_of(path)}&immutable=1" if alone else uri_of(path))
    except StorageForeignError as error:
        raise StorageForeignError(f"{path}: {error}") from error


def check_plain(path: Path) -> None:
    """See that a path leads to a plain file, or to none yet. Raises StorageForeignError."""
    try:
        mode = path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        end = Path(os.path.realpath(path))
        lost = path.is_symlink() and not end.parent.is_dir()
        what = f"a link to {end}, and there is no such folder" if lost else None
    except OSError as error:
        looping = error.errno == errno.ELOOP
        what = "a link that leads back to itself" if looping else None
    else:
        what = None if stat.S_ISREG(mode) else _OTHER_KINDS.get(stat.S_IFMT(mode), "no plain file")
    if what is not None:
        raise StorageForeignError(
            f"{path} is {what}, not a database's file: name a plain file, or one that is not "
            "there yet and is made"
        )


def _revision(uri: str) -> str | None:
    with closing(sqlite3.connect(uri, uri=True, timeout=_LOOK_SECONDS)) as connection:
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        tables = sorted(name for (name,) in names if not name.startswith("sqlite_"))
        if "alembic_version" in tables:
            found = connection.execute("SELECT version_num FROM alembic_version").fetchone()
            return None if found is None else str(found[0])
    if tables:
        some = ", ".join(tables[:3])
        raise StorageForeignError(f"it is an SQLite database of something else ({some})")
    return None


def uri_of(path: Path) -> str:
    """How SQLite opens a file that is there, and makes none."""
    return f"{path.absolute().as_uri()}?mode=rw"
