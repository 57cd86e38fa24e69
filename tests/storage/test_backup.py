"""Backups of a database in use: whole, checked by digests, never over a file."""

import os
import shutil
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import make_url, select, update

from service.operations.callers.event_list import EVENT_TYPES, read_events
from service.storage import BackupFailedError, Store
from service.storage.events import Event, record
from service.storage.tables import PRICE_LIST_MAPPING
from tests.given.counts import count_of
from tests.given.stored_rows import write_row
from tests.given.stores import Clock, Server, opened

BACKUPS = count_of("BACKUPS", 5)


@contextmanager
def writing(store: Store) -> Iterator[list[str]]:
    """Somebody who writes row after row for as long as the block; the names acknowledged."""
    done: list[str] = []
    stop = threading.Event()

    def write() -> None:
        while not stop.is_set():
            name = f"row_{len(done)}"
            write_row(store, name, name.encode("ascii") * 50)
            done.append(name)

    thread = threading.Thread(target=write)
    thread.start()
    try:
        yield done
    finally:
        stop.set()
        thread.join()


@contextmanager
def restored(
    store: Store, file: Path, request: pytest.FixtureRequest, clock: Clock
) -> Iterator[Store]:
    """A backup as a store: the file itself, or a database that it was restored to."""
    if store.file() is not None:
        with opened(f"sqlite:///{file}", clock) as copy_store:
            yield copy_store
        return
    server: Server = request.getfixturevalue("server")
    with server.empty_database() as url:
        place = make_url(url)
        program = shutil.which("pg_restore")
        assert program is not None
        named = {"PGHOST": str(place.query["host"]), "PGUSER": str(place.username)}
        words = (program, "--no-owner", "--dbname", str(place.database), str(file))
        subprocess.run(words, check=True, env={**os.environ, **named})
        with opened(url, clock) as copy_store:
            yield copy_store


def names_in(store: Store) -> list[str]:
    """The names of the rows that were written."""
    with store.read() as connection:
        return list(connection.scalars(select(PRICE_LIST_MAPPING.c.price_list_id)))


def events_in(store: Store) -> tuple[Event, ...]:
    """All that is told."""
    with store.read() as connection:
        return read_events(connection, EVENT_TYPES, after=None, limit=100)[0]


def test_backup_carries_what_was_told(
    store: Store, tmp_path: Path, request: pytest.FixtureRequest, clock: Clock
) -> None:
    """What was told stands in the copy, and what changes there is told under the next number."""
    for subject in ("a", "b"):
        with store.acting_as("k_office").write() as connection:
            record(connection, "mapping.changed", {}, now=store.now(), subject=subject)
    file = tmp_path / "copy"
    store.backup(file)
    with restored(store, file, request, clock) as copy:
        assert events_in(copy) == events_in(store)
        with copy.write() as connection:
            assert record(connection, "mapping.changed", {}, now=copy.now()) == 3


def test_backup_while_writing_holds_all_that_was_acknowledged(
    store: Store, tmp_path: Path, request: pytest.FixtureRequest, clock: Clock
) -> None:
    """Each copy is whole and has every row that was acknowledged before it began."""
    with writing(store) as done:
        for number in range(BACKUPS):
            before = list(done)
            file = tmp_path / f"copy{number}"
            checked = store.backup(file)
            with restored(store, file, request, clock) as copy:
                names = names_in(copy)
            assert set(before) <= set(names)
            assert checked == len(names)
    copies = {f"copy{number}" for number in range(BACKUPS)}
    assert {path.name for path in tmp_path.glob("copy*")} == copies


def test_backup_finds_a_document_that_was_altered(store: Store, tmp_path: Path) -> None:
    """A document that differs from its digest makes the backup fail, and leaves no file."""
    write_row(store, "a")
    with store.write() as connection:
        connection.execute(update(PRICE_LIST_MAPPING).values(content=b"altered"))
    with pytest.raises(BackupFailedError, match="price_list_mapping differs"):
        store.backup(tmp_path / "copy")
    assert list(tmp_path.glob("copy*")) == []


def test_backup_writes_over_no_file(store: Store, tmp_path: Path) -> None:
    """A file that is there stays as it is, and a missing folder is said."""
    (tmp_path / "copy").write_bytes(b"kept")
    with pytest.raises(BackupFailedError, match="is there already"):
        store.backup(tmp_path / "copy")
    assert (tmp_path / "copy").read_bytes() == b"kept"
    with pytest.raises(BackupFailedError, match="no folder"):
        store.backup(tmp_path / "none" / "copy")


def test_backup_needs_the_programs_of_postgresql(
    server: Server, clock: Clock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without pg_dump the message names what to install."""
    with server.migrated_database() as url, opened(url, clock) as store:
        monkeypatch.setenv("PATH", str(tmp_path))
        with pytest.raises(BackupFailedError, match="postgresql-client"):
            store.backup(tmp_path / "copy")
