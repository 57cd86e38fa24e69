"""The write-ahead log beside a store's file: deleted under it, and when SQLite itself does so."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from service.api.dependencies import StoreShelf
from service.storage import StorageMovedError, Store
from tests.given.stored_rows import read_names, write_row
from tests.given.stores import Clock, opened


@pytest.fixture
def held(tmp_path: Path, clock: Clock) -> Iterator[tuple[Store, Path]]:
    """A store that was started, with a row in it, and its file."""
    file = tmp_path / "store.sqlite"
    with opened(f"sqlite:///{file}", clock) as store:
        store.migrate()
        write_row(store, "first")
        yield store, file


@pytest.mark.parametrize("linked", [False, True], ids=["a file", "a link to it"])
def test_a_log_that_is_deleted_is_noticed(tmp_path: Path, clock: Clock, *, linked: bool) -> None:
    """The log has what was saved last. Once it is deleted nothing is acknowledged or read, also
    where another process has made a new one in its place; closing the store writes what it holds
    into the file, and all is well with the next one."""
    file = tmp_path / "store.sqlite"
    if linked:
        (tmp_path / "elsewhere").mkdir()
        file.symlink_to(tmp_path / "elsewhere" / "kept.sqlite")
    url = f"sqlite:///{file}"
    with opened(url, clock) as store:
        store.migrate()
        write_row(store, "first")
        log = Path(f"{file.resolve()}-wal")
        log.unlink()
        for _ in range(2):
            with pytest.raises(StorageMovedError, match=r"-wal was deleted or replaced; .*SIGTERM"):
                write_row(store, "lost")
            with pytest.raises(StorageMovedError):
                read_names(store)
            with pytest.raises(StorageMovedError):
                store.check()
            log.touch()
        log.unlink()
    with opened(url, clock) as again:
        again.check()
        assert read_names(again) == ["first"]
        write_row(again, "second")


def test_a_log_that_is_deleted_in_a_transaction_is_noticed(
    held: tuple[Store, Path], clock: Clock
) -> None:
    """It is not acknowledged, and nowhere."""
    store, file = held

    def write() -> None:
        with store.write() as connection:
            connection.execute(text("UPDATE price_list_mapping SET saved_at = 7"))
            Path(f"{file}-wal").unlink()

    with pytest.raises(StorageMovedError):
        write()
    store.close()
    with opened(store.url, clock) as again, again.read() as connection:
        assert connection.scalar(text("SELECT max(saved_at) FROM price_list_mapping")) == 0


def test_a_log_that_sqlite_deletes_or_keeps_is_no_fault(
    held: tuple[Store, Path], clock: Clock, tmp_path: Path
) -> None:
    """Whoever else opens and closes the file, copies the log back, empties it, makes a copy or
    compacts the file leaves it; the next store after one that was closed makes a new one."""
    store, file = held
    log = Path(f"{file}-wal")
    for number, statement in enumerate(
        ("PRAGMA wal_checkpoint(TRUNCATE)", "VACUUM", "PRAGMA user_version = 0", "PRAGMA optimize")
    ):
        with closing(sqlite3.connect(file, isolation_level=None)) as other:
            other.execute(statement).fetchall()
        write_row(store, f"row {number}")
        store.check()
    store.backup(tmp_path / "copy.sqlite")
    with opened(store.url, clock) as another:
        another.migrate()
        write_row(another, "another's")
    assert log.exists()
    write_row(store, "after another")
    store.close()
    assert not log.exists()
    with opened(store.url, clock) as again:
        write_row(again, "after closing")
        again.check()
        assert len(read_names(again)) == 8


def test_a_log_that_was_read_and_is_gone_is_noticed_by_the_first_who_stores(
    held: tuple[Store, Path], clock: Clock
) -> None:
    """A service that has read the database alone, such as its keys, then comes to write."""
    store, file = held
    shelf = StoreShelf(lambda: Store.open(store.url, now=clock))
    seen = shelf.existing()
    assert seen is not None
    assert read_names(seen) == ["first"]
    Path(f"{file}-wal").unlink()
    with pytest.raises(StorageMovedError):
        shelf.get()
    shelf.close()
