"""A store of this version, and tables that the next one has brought to its own."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from service.storage import StorageBehindError, StorageForeignError, Store, migration
from tests.given.next_release import move_back, move_on
from tests.given.stored_rows import insert_row, read_names, write_row
from tests.given.stores import Clock, Server, connected, opened
from tests.migrations.test_migrations import REVISIONS

WAITING = (
    "SELECT count(*) FROM pg_locks WHERE NOT granted AND relation = 'alembic_version'::regclass"
)


@contextmanager
def at_head(url: str, clock: Clock) -> Iterator[Store]:
    """A store on a database with this version's tables."""
    with opened(url, clock) as store:
        store.migrate()
        yield store


def wait_until_somebody_waits(url: str) -> None:
    """Until a transaction waits for the table that says which version's the others are."""
    end = time.monotonic() + 30
    with closing(connected(url)) as connection:
        while connection.execute(WAITING).fetchone() == (0,):
            assert time.monotonic() < end
            time.sleep(0.005)


def test_head_is_the_newest_revision() -> None:
    """The revisions by their files are those that the migrations say of themselves."""
    assert migration.head() == REVISIONS[-1]
    for revision in [None, *REVISIONS]:
        migration.check_known(revision)


def test_store_refuses_tables_of_the_next_release(
    empty_url: str, tmp_path: Path, clock: Clock
) -> None:
    """Nothing is read from them or written to them; when they are its own again it goes on."""
    with at_head(empty_url, clock) as store:
        write_row(store, "before")
        move_on(empty_url, tmp_path)
        for use in (read_names, lambda store: write_row(store, "meanwhile")):
            with pytest.raises(StorageBehindError, match="another version"):
                use(store)
        move_back(empty_url, tmp_path)
        write_row(store, "after")
        assert read_names(store) == ["after", "before"]


def test_store_refuses_a_database_without_its_tables(empty_url: str, clock: Clock) -> None:
    """Where the tables are gone, as while a copy is restored, that is told as well."""
    with at_head(empty_url, clock) as store:
        with store.write() as connection:
            connection.exec_driver_sql("DROP TABLE alembic_version")
        for use in (read_names, Store.check, lambda store: write_row(store, "meanwhile")):
            with pytest.raises(StorageForeignError, match="tables or columns are missing"):
                use(store)


def test_a_migration_waits_for_who_writes(server: Server, tmp_path: Path, clock: Clock) -> None:
    """What was begun on the old tables is kept on them; the next write is refused."""
    with server.empty_database() as url, at_head(url, clock) as store:
        moving = threading.Thread(target=move_on, args=(url, tmp_path))
        with store.write() as connection:
            moving.start()
            wait_until_somebody_waits(url)
            insert_row(connection, "begun")
        moving.join(30)
        with pytest.raises(StorageBehindError):
            write_row(store, "late")
        move_back(url, tmp_path)
        assert read_names(store) == ["begun"]


@pytest.mark.parametrize("writes", [False, True])
def test_who_waits_for_a_migration_is_refused(
    server: Server, clock: Clock, *, writes: bool
) -> None:
    """A transaction that begins while the tables change sees what they came to."""
    with server.empty_database() as url, at_head(url, clock) as store:
        refused = threading.Event()

        def use() -> None:
            try:
                write_row(store, "late") if writes else read_names(store)
            except StorageBehindError:
                refused.set()

        waiting = threading.Thread(target=use)
        with closing(connected(url)) as connection, connection.transaction():
            connection.execute("LOCK TABLE alembic_version IN ACCESS EXCLUSIVE MODE")
            waiting.start()
            wait_until_somebody_waits(url)
            connection.execute("UPDATE alembic_version SET version_num = '9999'")
        waiting.join(30)
        assert refused.is_set()
