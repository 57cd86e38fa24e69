"""Whole copies of a database in use, by its own backup interface, checked before they count."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, select, text
from sqlalchemy.engine import URL

from service.storage.errors import StorageError
from service.storage.tables import DIGESTED

_PARTIAL = ".partial"
_ROWS_AT_A_TIME = 200


class BackupFailedError(StorageError):
    """A copy could not be made, or is not whole."""


def copy_sqlite(engine: Engine, path: Path) -> int:
    """Copy an SQLite database with its backup interface, pages of the write-ahead log included.

    A copy of the files alone may be torn, or lack what is in the log.
    """
    partial = _new_file(path)
    try:
        with engine.connect() as connection, closing(sqlite3.connect(partial)) as target:
            source = connection.connection.driver_connection
            if not isinstance(source, sqlite3.Connection):
                raise BackupFailedError("this is no SQLite database")
            source.backup(target)
            _check_sqlite(target)
        checked = _digests_of_file(partial)
        return _put_in_place(partial, path, checked)
    finally:
        partial.unlink(missing_ok=True)


def dump_postgresql(engine: Engine, path: Path) -> int:
    """Dump a PostgreSQL database with pg_dump, in its custom format, for pg_restore.

    The digests are checked in the very state that is dumped: both read one exported snapshot.
    """
    program = shutil.which("pg_dump")
    if program is None:
        raise BackupFailedError("pg_dump is not installed (the package postgresql-client)")
    partial = _new_file(path)
    try:
        with engine.connect() as connection:
            snapshot = str(connection.scalar(text("SELECT pg_export_snapshot()")))
            command = (program, "--format=custom", "--no-owner", f"--snapshot={snapshot}")
            _run((*command, f"--file={partial}"), engine.url)
            checked = check_digests(connection)
        _check_archive(partial, engine.url)
        return _put_in_place(partial, path, checked)
    finally:
        partial.unlink(missing_ok=True)


def check_digests(connection: Connection) -> int:
    """Compute every stored document's digest anew; returns how many there are.

    Raises BackupFailedError with the first one that is not what was stored.
    """
    checked = 0
    for table, content, digest in DIGESTED:
        chosen = select(table.c[content], table.c[digest])
        chosen = chosen.execution_options(yield_per=_ROWS_AT_A_TIME)
        with connection.execute(chosen) as rows:
            for stored, expected in rows:
                if hashlib.sha256(stored).hexdigest() != expected:
                    raise BackupFailedError(f"a document in {table.name} differs from its digest")
                checked += 1
    return checked


def _new_file(path: Path) -> Path:
    """Where the copy grows until it is known to be whole."""
    if path.exists():
        raise BackupFailedError(f"{path} is there already; a backup never writes over a file")
    if not path.parent.is_dir():
        raise BackupFailedError(f"there is no folder {path.parent}")
    partial = path.with_name(path.name + _PARTIAL)
    partial.unlink(missing_ok=True)
    return partial


def _put_in_place(partial: Path, path: Path, checked: int) -> int:
    with partial.open("rb") as file:
        os.fsync(file.fileno())
    partial.replace(path)
    return checked


def _check_sqlite(target: sqlite3.Connection) -> None:
    # The copy is one file: without this it would ask for a log beside it.
    target.execute("PRAGMA journal_mode = DELETE")
    found = [row[0] for row in target.execute("PRAGMA integrity_check(10)")]
    if found != ["ok"]:
        raise BackupFailedError(f"the copy is not sound: {'; '.join(found)}")
    if target.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise BackupFailedError("the copy has a row that refers to none")


def _digests_of_file(file: Path) -> int:
    engine = create_engine(URL.create("sqlite", database=str(file)))
    try:
        with engine.connect() as connection:
            return check_digests(connection)
    finally:
        engine.dispose()


def _check_archive(partial: Path, url: URL) -> None:
    """See that the dump can be read and holds the tables."""
    program = shutil.which("pg_restore")
    if program is None:
        raise BackupFailedError("pg_restore is not installed (the package postgresql-client)")
    listed = _run((program, "--list", str(partial)), url)
    for table, _, _ in DIGESTED:
        if f"TABLE DATA public {table.name} " not in listed:
            raise BackupFailedError(f"the dump lacks the table {table.name}")


def _run(command: tuple[str, ...], url: URL) -> str:
    """Run one of PostgreSQL's programs; how to connect goes by the environment, unseen by ps."""
    done = subprocess.run(  # noqa: S603  the program and its options are ours
        command, env=_environment(url), capture_output=True, text=True, check=False
    )
    if done.returncode:
        name = Path(command[0]).name
        raise BackupFailedError(f"{name} failed: {done.stderr.strip().splitlines()[-1:]}")
    return done.stdout


def _environment(url: URL) -> Mapping[str, str]:
    host = url.host or url.query.get("host")
    given = {
        "PGHOST": host,
        "PGPORT": str(url.port or url.query.get("port") or ""),
        "PGUSER": url.username,
        "PGPASSWORD": url.password,
        "PGDATABASE": url.database,
    }
    named = {name: str(value) for name, value in given.items() if value}
    return {**os.environ, "LC_ALL": "C.UTF-8", **named}
