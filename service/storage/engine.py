"""The one place where a database is opened; migrations use it too."""

from sqlalchemy import Connection, Engine, create_engine, event, pool
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.pool import ConnectionPoolEntry

SQLITE_WAIT_S = 30


def open_engine(url: str) -> Engine:
    """Return an engine for writing: a transaction holds the lock from its first statement.

    SQLite's Python driver opens no transaction before a SELECT or a CREATE TABLE, so two
    writers may read the same state, and a migration that stops half way stays half done.
    Here the driver's own transactions are off and each one begins with BEGIN IMMEDIATE: the
    second writer waits up to 30 s for the first. Other databases are opened as they are.

    Raises:
        sqlalchemy.exc.ArgumentError: the URL names no database.
    """
    engine = create_engine(url, poolclass=pool.NullPool)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_immediate)
    return engine


def _prepare_sqlite(connection: DBAPIConnection, _record: ConnectionPoolEntry) -> None:
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {SQLITE_WAIT_S * 1000}")
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")
