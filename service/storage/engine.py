"""The one place where a database is opened; migrations use it too."""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url, pool
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import ArgumentError, SQLAlchemyError
from sqlalchemy.pool import ConnectionPoolEntry

from service.storage.database_file import uri_of
from service.storage.errors import StorageUrlError
from service.storage.postgres import give_up_on_silence, line_options

# For a lock, of what migrates and copies; and of a caller's transaction.
WAIT_S = 30
CALL_WAIT_S = 10
# Kept open for reading; on PostgreSQL for writing too.
CONNECTIONS = 5
# Pages of the write-ahead log (4 KiB each) after which the writing connection copies it back.
CHECKPOINT_PAGES = 1000
CLOSE_WAIT_MS = 1000
_SYNCHRONOUS_FULL = 2
_WAL_TRIES = 200
_WAL_PAUSE_S = 0.02

_EXAMPLE = "such as sqlite:////var/lib/walls.sqlite or postgresql+psycopg://user@host/database"


def open_engine(url: str, *, pooled: bool = False) -> Engine:
    """Return an engine for writing: a transaction holds the lock from its first statement.

    SQLite's Python driver opens no transaction before a SELECT or a CREATE TABLE, so two
    writers may read the same state, and a migration that stops half way stays half done.
    Here the driver's own transactions are off and each one begins with BEGIN IMMEDIATE: the
    second writer waits up to 30 s for the first.

    `pooled` keeps connections open: on SQLite a single one, which all threads of the process
    share in turn and which alone copies the write-ahead log back. Two connections that do so at
    the same instant can damage the file in SQLite before 3.51.3 (its release news, 2026-03).

    Raises:
        StorageUrlError: the URL names no database, or its driver is not installed.
    """
    engine = _create(url, pooled=pooled, connections=1)
    if engine.dialect.name == "sqlite":
        pages = CHECKPOINT_PAGES if pooled else 0
        wait_s = CALL_WAIT_S if pooled else WAIT_S
        event.listen(engine, "connect", lambda raw, _record: _prepare_sqlite(raw, pages, wait_s))
        event.listen(engine, "begin", _begin_immediate)
    return engine


def open_reading_engine(url: str) -> Engine:
    """Return an engine for reading: each transaction sees one state of the database throughout.

    On SQLite it takes no lock and never waits for a writer.

    Raises:
        StorageUrlError: as for `open_engine`.
    """
    engine = _create(url, pooled=True, connections=CONNECTIONS)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_reader)
        event.listen(engine, "begin", _begin)
        return engine
    return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def close_file(engine: Engine) -> None:
    """Copy the write-ahead log back into an SQLite file that a pooled engine wrote to, with
    statistics of what is there, by which it is found.

    Another process that holds the file is not waited for long: then the last one does it, or
    the next one that opens the file.
    """
    if not isinstance(engine.pool, pool.QueuePool) or not engine.pool.checkedin():
        return
    with suppress(sqlite3.Error, SQLAlchemyError), closing(engine.raw_connection()) as connection:
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {CLOSE_WAIT_MS}")
        cursor.execute("ANALYZE")
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _create(url: str, *, pooled: bool, connections: int) -> Engine:
    try:
        parsed = make_url(url)
        options: dict[str, Any] = {"hide_parameters": True}
        if not pooled:
            options["poolclass"] = pool.NullPool
        elif parsed.get_backend_name() == "sqlite":
            options |= {
                "poolclass": pool.QueuePool,
                "pool_size": connections,
                "max_overflow": 0,
                "pool_timeout": CALL_WAIT_S,
                "connect_args": {"check_same_thread": False},
            }
        else:
            options |= {"pool_size": CONNECTIONS, "max_overflow": CONNECTIONS}
            options |= {"pool_timeout": CALL_WAIT_S, "pool_pre_ping": True}
        if parsed.get_backend_name() == "postgresql":
            wait_s = CALL_WAIT_S if pooled else WAIT_S
            options["connect_args"] = line_options(wait_s, bounded=pooled)
        engine = create_engine(parsed, **options)
    except ArgumentError as error:
        raise StorageUrlError(f"this is no database's URL; {_EXAMPLE}") from error
    except ModuleNotFoundError as error:
        message = f"the driver {error.name} is not installed; PostgreSQL needs the extra `postgres`"
        raise StorageUrlError(message) from error
    if pooled:
        _watch(engine)
    return engine


def _watch(engine: Engine) -> None:
    """A caller makes no database where there is none, and waits for no server that is gone."""
    if engine.dialect.name == "postgresql":
        give_up_on_silence(engine)
    elif engine.dialect.name == "sqlite" and engine.url.database not in {None, "", ":memory:"}:
        event.listen(engine, "do_connect", _open_what_is_there)


def _open_what_is_there(
    _dialect: Any,  # noqa: ANN401
    _record: Any,  # noqa: ANN401
    words: list[Any],
    options: dict[str, Any],
) -> None:
    words[0] = uri_of(Path(words[0]))
    options["uri"] = True


def _prepare_sqlite(connection: DBAPIConnection, checkpoint_pages: int, wait_s: int) -> None:
    """Make a connection durable, and see that it is: the settings hold for it alone."""
    cursor = _bare_cursor(connection, wait_s)
    _use_write_ahead_log(cursor)
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    # What is erased, such as a customer's name, is written over and not left in the file.
    cursor.execute("PRAGMA secure_delete = ON")
    cursor.execute(f"PRAGMA wal_autocheckpoint = {checkpoint_pages}")
    (synchronous,) = cursor.execute("PRAGMA synchronous").fetchone()
    cursor.close()
    if synchronous != _SYNCHRONOUS_FULL:
        raise sqlite3.OperationalError("PRAGMA synchronous = FULL has no effect")


def _prepare_reader(connection: DBAPIConnection, _record: ConnectionPoolEntry) -> None:
    cursor = _bare_cursor(connection, CALL_WAIT_S)
    cursor.execute("PRAGMA wal_autocheckpoint = 0")
    cursor.execute("PRAGMA query_only = ON")
    cursor.close()


def _bare_cursor(connection: DBAPIConnection, wait_s: int) -> Any:  # noqa: ANN401  a driver's own object
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {wait_s * 1000}")
    return cursor


def _use_write_ahead_log(cursor: Any) -> None:  # noqa: ANN401  a driver's own object
    """Switch the file to the write-ahead log; while several do so, SQLite won't wait by itself."""
    for _ in range(_WAL_TRIES):
        try:
            cursor.execute("PRAGMA journal_mode = WAL").fetchone()
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY:
                raise
            time.sleep(_WAL_PAUSE_S)
        else:
            return
    raise sqlite3.OperationalError("the database stays locked")


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _begin(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN")
