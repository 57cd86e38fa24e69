"""The store: commits at the end of a block, one state to a reader, versions, migrations."""

import re
import sqlite3
import threading
import time
from contextlib import AbstractContextManager, ExitStack, closing
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import Connection, insert, make_url, select, text
from sqlalchemy.exc import DBAPIError

from service.storage import (
    StorageFullError,
    StorageGoneError,
    StorageUnsafeError,
    StorageUrlError,
    Store,
    migration,
)
from service.storage.database_file import log_of
from service.storage.engine import open_engine
from service.storage.tables import PRICE_LIST_MAPPING
from tests.cluster import Cluster
from tests.given.stored_rows import read_names, write_row
from tests.given.stores import Clock, Server, opened, sqlite_store


def test_write_commits_at_the_end(store: Store) -> None:
    """What a block wrote is there for every reader once the block has ended."""
    write_row(store, "a")
    assert read_names(store) == ["a"]


def test_write_takes_back_what_raised(store: Store) -> None:
    """A block that raises leaves nothing."""

    def write_and_fail() -> None:
        values = {"content": b"x", "content_digest": "", "saved_at": 0}
        with store.write() as connection:
            connection.execute(insert(PRICE_LIST_MAPPING).values(price_list_id="a", **values))
            raise KeyError

    with pytest.raises(KeyError):
        write_and_fail()
    assert read_names(store) == []


def test_read_sees_one_state(store: Store) -> None:
    """What is committed while a reader reads, it does not see."""
    count = text("SELECT count(*) FROM price_list_mapping")
    with store.read() as connection:
        assert connection.scalar(count) == 0
        write_row(store, "a")
        assert connection.scalar(count) == 0
    assert read_names(store) == ["a"]


def test_read_writes_nothing(store: Store) -> None:
    """A reader that tries to write is refused by the database."""
    with pytest.raises((StorageGoneError, DBAPIError)), store.read() as connection:
        connection.execute(text("DELETE FROM price_list_mapping"))


def test_write_loses_no_update(store: Store) -> None:
    """Four threads that read a number and add one, 100 times each, end at 400."""
    write_row(store, "counter", b"0")

    def add() -> None:
        for _ in range(100):
            with store.write() as connection:
                row = select(PRICE_LIST_MAPPING.c.content).with_for_update()
                number = int(connection.scalars(row).one())
                changed = PRICE_LIST_MAPPING.update().values(content=str(number + 1).encode())
                connection.execute(changed)

    threads = [threading.Thread(target=add) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.read() as connection:
        assert connection.scalars(select(PRICE_LIST_MAPPING.c.content)).one() == b"400"


def test_version_names_the_database(store: Store, database_kind: str) -> None:
    """The version begins with the name of the database and has its number."""
    name = {"sqlite": r"SQLite 3\.\d+\.\d+", "postgresql": r"PostgreSQL \d+\.\d+"}
    assert re.fullmatch(name[database_kind], store.version())


def test_migrate_makes_the_database(empty_url: str, clock: Clock) -> None:
    """An empty database, its folder missing even, is at head afterwards; twice changes nothing."""
    if empty_url.startswith("sqlite"):
        empty_url = empty_url.replace("store.sqlite", "new/folder/store.sqlite")
    with opened(empty_url, clock) as store:
        store.migrate()
        assert store.at_head()
        store.migrate()
        assert store.at_head()


def starting(url: str, clock: Clock, failures: list[BaseException]) -> threading.Thread:
    """A service that will start on a database; what it fails with is kept."""

    def start() -> None:
        try:
            with opened(url, clock) as store:
                store.migrate()
                assert store.at_head()
        except BaseException as error:
            failures.append(error)
            raise

    return threading.Thread(target=start)


def test_migrate_takes_turns(empty_url: str, clock: Clock) -> None:
    """Four services that start at once on an empty database all find it at head."""
    failures: list[BaseException] = []

    threads = [starting(empty_url, clock, failures) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []


@pytest.mark.no_cover  # others run the same lines
def test_migrate_waits_for_one_that_is_not_done(empty_url: str, clock: Clock) -> None:
    """A service that starts while another is at the migrations waits for their end, and then
    finds nothing to do; without the lock it would make tables that are being made."""
    failures: list[BaseException] = []

    second = starting(empty_url, clock, failures)
    with opened(empty_url, clock) as store:
        with open_engine(empty_url).begin() as connection:
            migration.upgrade(connection)
            second.start()
            # It has come as far as it can: it waits on a lock, or it has failed.
            second.join(1 if store.file() else 0.01)
            while store.file() is None and second.is_alive() and not _waits(connection):
                second.join(0.01)
            assert second.is_alive()
        second.join()
    assert failures == []


def _waits(connection: Connection) -> bool:
    """Whether a session of this PostgreSQL server waits for a lock of another."""
    return bool(connection.scalar(text("SELECT count(*) FROM pg_locks WHERE NOT granted")))


def test_close_leaves_no_connection(empty_url: str, clock: Clock) -> None:
    """A store that was written to and read from, by three at once, leaves nothing open when it is
    closed: no descriptor of the file, no session of the server."""
    with opened(empty_url, clock) as store:
        store.migrate()
        with ExitStack() as held:
            for _ in range(3):
                held.enter_context(store.read()).execute(text("SELECT 1"))
        with opened(empty_url, clock) as other:
            assert _open_connections(store, other) > 0
            store.close()
            end = time.monotonic() + 10  # a server takes a moment to see that one has left
            while _open_connections(store, other) and time.monotonic() < end:
                time.sleep(0.01)
            assert _open_connections(store, other) == 0


def test_close_waits_for_who_is_there(store: Store, clock: Clock) -> None:
    """A store that is closed under a reader and a writer in other threads waits for both, and
    then nothing is open."""
    inside, go_on = threading.Semaphore(0), threading.Event()

    def stay(transaction: AbstractContextManager[Connection]) -> None:
        with transaction as connection:
            connection.execute(text("SELECT count(*) FROM price_list_mapping"))
            inside.release()
            go_on.wait(30)

    there = [threading.Thread(target=stay, args=(each,)) for each in (store.read(), store.write())]
    for thread in there:
        thread.start()
        assert inside.acquire(timeout=30)
    leaving = threading.Thread(target=store.close)
    leaving.start()
    leaving.join(0.2)
    assert leaving.is_alive()
    go_on.set()
    leaving.join(30)
    with opened(store.url, clock) as other:
        end = time.monotonic() + 10  # a server takes a moment to see that one has left
        while _open_connections(store, other) and time.monotonic() < end:
            time.sleep(0.01)
        assert _open_connections(store, other) == 0


def test_closed_store_is_gone(store: Store, clock: Clock) -> None:
    """Who comes to a store that was closed is refused, and opens nothing."""
    store.close()
    for each in (store.read, store.write):
        with pytest.raises(StorageGoneError, match="closed"), each():
            pass
    with opened(store.url, clock) as other:
        assert _open_connections(store, other) == 0


def test_close_leaves_all_in_the_file(tmp_path: Path, clock: Clock) -> None:
    """While somebody else has the file open, which keeps SQLite from doing so by itself, a store
    that is closed has copied its log back, and kept statistics by which rows are found."""
    with sqlite_store(tmp_path, clock) as store:
        write_row(store, "a")
        file = tmp_path / "store.sqlite"
        with closing(sqlite3.connect(file)) as other:
            other.execute("SELECT count(*) FROM quote").fetchone()
            assert log_of(file).stat().st_size > 0
            store.close()
            assert log_of(file).stat().st_size == 0
            known = {table for (table,) in other.execute("SELECT tbl FROM sqlite_stat1")}
            assert PRICE_LIST_MAPPING.name in known


def _open_connections(store: Store, other: Store) -> int:
    """Connections to the database, seen from outside of the store."""
    if (file := store.file()) is not None:
        links = [link for link in Path("/proc/self/fd").iterdir() if link.is_symlink()]
        return sum(link.readlink() == file for link in links if link.exists())
    mine = "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
    with other.read() as connection:
        return int(connection.scalar(text(f"{mine} AND pid <> pg_backend_pid()")) or 0)


def test_at_head_sees_an_older_database(empty_url: str, clock: Clock) -> None:
    """A database without tables is not at head."""
    with opened(empty_url, clock) as store:
        assert not store.at_head()


def test_migrate_refuses_a_server_that_may_lose_writes(server: Server, clock: Clock) -> None:
    """synchronous_commit = off is refused with its name, unless the settings accept it."""
    with server.empty_database() as url:
        name = make_url(url).database
        plain = make_url(server.url).set(drivername="postgresql")
        with psycopg.connect(plain.render_as_string(), autocommit=True) as connection:
            statement = f'ALTER DATABASE "{name}" SET synchronous_commit = off'
            connection.execute(statement.encode("ascii"))
        with opened(url, clock) as store, pytest.raises(StorageUnsafeError, match="synchronous"):
            store.migrate()
        accepting = Store.open(url, unsafe=True)
        accepting.migrate()
        accepting.close()


def test_write_says_that_the_disk_is_full(tmp_path: Path, clock: Clock) -> None:
    """SQLite with no page left is full; what is there can be read, and nothing of it is lost."""
    with opened(f"sqlite:///{tmp_path / 'store.sqlite'}", clock) as store:
        store.migrate()
        write_row(store, "a")
        with store.write() as connection:
            pages = connection.scalar(text("PRAGMA page_count"))
            connection.execute(text(f"PRAGMA max_page_count = {pages}"))
        with pytest.raises(StorageFullError):
            write_row(store, "b", b"x" * 100_000)
        assert read_names(store) == ["a"]
        with store.write() as connection:
            connection.execute(text("PRAGMA max_page_count = 1000000"))
        write_row(store, "b", b"x" * 100_000)
        assert read_names(store) == ["a", "b"]


def test_store_comes_back_with_its_server(cluster: Cluster, clock: Clock) -> None:
    """A server that is killed is gone, and answers again once it is back, without a new store."""
    with opened(cluster.url, clock) as store:
        store.migrate()
        write_row(store, "a")
        cluster.stop()
        with pytest.raises(StorageGoneError):
            write_row(store, "b")
        cluster.start()
        write_row(store, "b")
        assert read_names(store) == ["a", "b"]


@pytest.mark.parametrize("url", ["nonsense", "unknown://host/name", ""])
def test_open_refuses_what_is_no_database(url: str) -> None:
    """A URL that names no database is refused with an example of one that does."""
    with pytest.raises(StorageUrlError):
        Store.open(url)


def test_sqlite_has_one_connection_that_checkpoints(tmp_path: Path, clock: Clock) -> None:
    """The writing connection copies the log back and syncs fully; readers never do."""
    with opened(f"sqlite:///{tmp_path / 'store.sqlite'}", clock) as store:
        store.migrate()
        with store.write() as connection:
            names = ("journal_mode", "synchronous", "wal_autocheckpoint", "foreign_keys")
            found = [connection.scalar(text(f"PRAGMA {name}")) for name in names]
        assert found == ["wal", 2, 1000, 1]
        with store.read() as connection:
            assert connection.scalar(text("PRAGMA wal_autocheckpoint")) == 0
