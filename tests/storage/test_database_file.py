"""The file of a store: deleted, replaced, foreign, cut; what is said, and when it is well again."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from pathlib import Path

import pytest
from sqlalchemy import text

from service.storage import (
    StorageBehindError,
    StorageBusyError,
    StorageForeignError,
    StorageFullError,
    StorageMovedError,
    StorageReadOnlyError,
    Store,
)
from service.storage.database_file import DatabaseFile
from service.storage.migration import head
from tests.given.stored_rows import read_names, write_row
from tests.given.stores import Clock, Server, connected, opened


@pytest.fixture
def held(tmp_path: Path, clock: Clock) -> Iterator[tuple[Store, Path]]:
    """A store that was started, with a row in it, and its file."""
    file = tmp_path / "store.sqlite"
    with opened(f"sqlite:///{file}", clock) as store:
        store.migrate()
        write_row(store, "first")
        yield store, file


def replaced(file: Path, copy: Path) -> None:
    """Put a copy in the place of the file."""
    copy.replace(file)


def deleted(file: Path, _copy: Path) -> None:
    """Delete the file."""
    file.unlink()


@pytest.mark.parametrize("change", [replaced, deleted])
def test_write_notices_that_the_file_changed(
    held: tuple[Store, Path], change: Callable[[Path, Path], None]
) -> None:
    """A file that goes away in the middle of a transaction is noticed before it is acknowledged,
    and nothing of the transaction is anywhere."""
    store, file = held

    def write() -> None:
        with store.write() as connection:
            connection.execute(text("UPDATE price_list_mapping SET saved_at = 7"))
            change(file, copy)

    copy = file.with_name("copy.sqlite")
    store.backup(copy)
    with pytest.raises(StorageMovedError, match="deleted or replaced"):
        write()
    with suppress(StorageMovedError), store.read() as connection:
        assert connection.scalar(text("SELECT max(saved_at) FROM price_list_mapping")) == 0


def test_an_unwatched_file_loses_what_was_acknowledged(
    held: tuple[Store, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control: without the look at the file a save into a deleted one is acknowledged, and
    is nowhere."""
    store, file = held
    monkeypatch.setattr(DatabaseFile, "begin", lambda _self: None)
    monkeypatch.setattr(DatabaseFile, "check", lambda _self, _begun: None)
    file.unlink()
    write_row(store, "lost")
    assert not file.exists()


def test_store_takes_over_a_proper_file(held: tuple[Store, Path]) -> None:
    """A backup's copy in the file's place is worked on, and nothing of the old file's log gets
    into it; a deleted file is refused, for reading too, until one stands there again."""
    store, file = held
    copy = file.with_name("copy.sqlite")
    store.backup(copy)
    write_row(store, "after the copy")
    copy.replace(file)
    assert Path(f"{file}-wal").stat().st_size > 0
    assert read_names(store) == ["first"]
    write_row(store, "second")
    copy = file.with_name("other.sqlite")
    store.backup(copy)
    file.unlink()
    with pytest.raises(StorageMovedError, match="db backup"):
        write_row(store, "third")
    with pytest.raises(StorageMovedError):
        read_names(store)
    copy.rename(file)
    write_row(store, "third")
    assert read_names(store) == ["first", "second", "third"]
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_store_takes_over_no_other_file(held: tuple[Store, Path], tmp_path: Path) -> None:
    """An empty database in the file's place is that of another version; what is no database is
    said to be none, and neither is touched."""
    store, file = held
    file.unlink()
    file.touch()
    with pytest.raises(StorageBehindError, match="start the service again"):
        write_row(store, "second")
    assert file.stat().st_size == 0
    (tmp_path / "words").write_text("these are words", encoding="utf-8")
    (tmp_path / "words").replace(file)
    with pytest.raises(StorageForeignError, match="no SQLite database"):
        write_row(store, "second")


def test_check_says_what_is_amiss_and_when_it_is_over(held: tuple[Store, Path]) -> None:
    """Locked by another writer, of another version, full: each by its own error, and well when
    it is over."""
    store, file = held
    store.check()
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StorageBusyError):
            store.check()
    store.check()
    with closing(sqlite3.connect(file)) as other, other:
        other.execute("UPDATE alembic_version SET version_num = '0001'")
    with pytest.raises(StorageBehindError):
        store.check()
    with closing(sqlite3.connect(file)) as other, other:
        other.execute("UPDATE alembic_version SET version_num = ?", (head(),))
    with store.write() as connection:
        pages = connection.scalar(text("PRAGMA page_count"))
        connection.execute(text(f"PRAGMA max_page_count = {pages}"))
    with pytest.raises(StorageFullError):
        write_row(store, "large", b"x" * 100_000)
    with pytest.raises(StorageFullError):
        store.check()
    assert read_names(store) == ["first"]
    with store.write() as connection:
        connection.execute(text("PRAGMA max_page_count = 1000000"))
    store.check()
    assert read_names(store) == ["first"]
    file.unlink()
    with pytest.raises(StorageMovedError):
        store.check()


def test_check_says_that_a_server_is_read_only(server: Server, clock: Clock) -> None:
    """A server that is set to be read only: check says so, writing is refused as that, reading
    goes on, and it is well when the setting is gone."""
    with server.migrated_database() as url:
        set_read_only(url, "on")
        with opened(url, clock) as store:
            with pytest.raises(StorageReadOnlyError):
                store.check()
            with pytest.raises(StorageReadOnlyError):
                write_row(store, "first")
            assert read_names(store) == []
        set_read_only(url, "off")
        with opened(url, clock) as store:
            store.check()
            write_row(store, "first")


def set_read_only(url: str, value: str) -> None:
    """Set a server's database to be read only, or not, for connections to come."""
    with connected(url) as connection:
        name = connection.info.dbname
        connection.execute("SET default_transaction_read_only = off")
        statement = f'ALTER DATABASE "{name}" SET default_transaction_read_only = {value}'
        connection.execute(statement.encode("ascii"))


def words(file: Path) -> None:
    """A file that is no database."""
    file.write_text("These are words and no database.\n" * 100, encoding="utf-8")


def something_else(file: Path) -> None:
    """The database of another program."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE songs (title TEXT)")


def newer(file: Path) -> None:
    """A database of a later version."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE alembic_version (version_num TEXT)")
        connection.execute("INSERT INTO alembic_version VALUES ('9999')")
        connection.commit()


def cut(file: Path) -> None:
    """A database of which half is missing."""
    something_else(file)
    with file.open("r+b") as stream:
        stream.truncate(file.stat().st_size // 2)


def damaged(file: Path) -> None:
    """A database whose first page is written over behind its header."""
    something_else(file)
    with file.open("r+b") as stream:
        stream.seek(100)
        stream.write(b"\xff" * 3000)


def pipe(file: Path) -> None:
    """A named pipe."""
    os.mkfifo(file)


def device(file: Path) -> None:
    """A link to a device."""
    file.symlink_to("/dev/null")


def loop(file: Path) -> None:
    """A link to itself."""
    file.symlink_to(file)


def nowhere(file: Path) -> None:
    """A link to what isn't there."""
    file.symlink_to(file.with_name("gone") / "kept.sqlite")


AT_START: dict[str, tuple[Callable[[Path], None], str]] = {
    "folder": (Path.mkdir, "store.sqlite is a folder, .*: name a plain file"),
    "pipe": (pipe, "store.sqlite is a pipe, .*: name a plain file"),
    "device": (device, "store.sqlite is a device, .*: name a plain file"),
    "loop": (loop, "store.sqlite is a link that leads back to itself, .*: name a plain file"),
    "nowhere": (nowhere, "is a link to .*gone/kept.sqlite, and there is no such folder, .*: name"),
    "words": (words, "is no SQLite database"),
    "something else": (something_else, r"it is an SQLite database of something else \(songs\)"),
    "newer": (newer, "at revision 9999, which this version of the service doesn't know"),
    "cut": (cut, "is damaged"),
    "damaged": (damaged, "is damaged"),
}


@pytest.mark.parametrize("name", AT_START)
def test_migrate_refuses_what_is_not_ours(tmp_path: Path, clock: Clock, name: str) -> None:
    """What is no database of this service is named in one sentence, and not changed."""
    make, said = AT_START[name]
    file = tmp_path / "store.sqlite"
    make(file)
    before = file.read_bytes() if file.is_file() else None
    with (
        opened(f"sqlite:///{file}", clock) as store,
        pytest.raises(StorageForeignError, match=said) as raised,
    ):
        store.migrate()
    assert "\n" not in str(raised.value)
    assert before is None or file.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == [file.name]


def test_migrate_takes_a_file_whose_log_holds_the_rest(tmp_path: Path, clock: Clock) -> None:
    """The control: a file that was killed with its log beside it is not said to be cut."""
    file = tmp_path / "store.sqlite"
    with opened(f"sqlite:///{file}", clock) as store:
        store.migrate()
        write_row(store, "first", b"x" * 100_000)
        copy = tmp_path / "killed"
        copy.mkdir()
        for each in tmp_path.glob("store.sqlite*"):
            shutil.copy(each, copy)
    with opened(f"sqlite:///{copy / file.name}", clock) as again:
        again.migrate()
        assert read_names(again) == ["first"]
