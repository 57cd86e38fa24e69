"""The engine for writing: locks first, takes back what failed."""

from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.dialects import registry
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.exc import OperationalError

from service.storage import open_engine


def test_open_engine_holds_the_lock_from_the_first_statement(tmp_path: Path) -> None:
    """A second writer can't begin while the first has only read."""
    engine = open_engine(f"sqlite:///{tmp_path / 'store.db'}")
    with engine.connect() as first, engine.connect() as second:
        first.execute(text("SELECT 1"))
        # The wait is cut to nothing, so that the test need not sit it out.
        second.connection.cursor().execute("PRAGMA busy_timeout = 0")
        with pytest.raises(OperationalError, match="locked"):
            second.execute(text("SELECT 1"))


def test_open_engine_takes_back_a_created_table(tmp_path: Path) -> None:
    """A table made in a transaction that fails is gone."""
    engine = open_engine(f"sqlite:///{tmp_path / 'store.db'}")
    with engine.connect() as connection:
        connection.execute(text("CREATE TABLE kept (id INTEGER)"))
        connection.rollback()
        tables = connection.execute(text("SELECT name FROM sqlite_master")).all()
    assert tables == []


def test_open_engine_waits_for_the_disk_and_checks_references(tmp_path: Path) -> None:
    """Each connection syncs fully (2), checks foreign keys (1) and waits 30 s for a lock."""
    engine = open_engine(f"sqlite:///{tmp_path / 'store.db'}")
    with engine.connect() as connection:
        pragmas = ("synchronous", "foreign_keys", "busy_timeout")
        found = [connection.execute(text(f"PRAGMA {name}")).scalar() for name in pragmas]
    assert found == [2, 1, 30_000]


class OtherDialect(SQLiteDialect_pysqlite):
    """A database that is called something else, for want of another one in the tests."""

    name = "other"
    supports_statement_cache = True


def test_open_engine_leaves_other_databases_as_they_are() -> None:
    """A database other than SQLite gets none of SQLite's settings."""
    registry.register("other", __name__, OtherDialect.__name__)
    with open_engine("other://").connect() as connection:
        assert connection.execute(text("PRAGMA busy_timeout")).scalar() != 30_000
