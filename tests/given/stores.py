"""Databases for tests: SQLite files, and databases of their own on a PostgreSQL server."""

import os
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import psycopg
import pytest
from psycopg import sql
from sqlalchemy import make_url

from service.storage import Store
from service.storage.tables import METADATA
from tests.cluster import VARIABLE, Cluster, ClusterStartError, running_cluster

KINDS = ("sqlite", "postgresql")
# For what is said of what is stored and no database has a say in: the test runs on one alone.
ON_SQLITE = pytest.mark.parametrize("database_kind", ["sqlite"])
# Fixtures that need a server; a test that asks for one is marked `postgresql`.
SERVERS = {"server", "cluster"}

Running = TypeVar("Running")


class Clock:
    """A clock that stands still until a test moves it; it begins in May 2026."""

    def __init__(self) -> None:
        self.seconds = 1_777_852_800

    def __call__(self) -> int:
        """The moment it stands at."""
        return self.seconds


class Server:
    """A PostgreSQL server, and what is made on it."""

    def __init__(self, url: str) -> None:
        self.url = url
        self._template: str | None = None
        self._shared: SharedDatabase | None = None

    @contextmanager
    def empty_database(self) -> Iterator[str]:
        """The URL of an empty database, dropped at the end."""
        with self._database("template0") as url:
            yield url

    @contextmanager
    def migrated_database(self) -> Iterator[str]:
        """The URL of a database with all tables, copied from one that was migrated once."""
        with self._database(self._migrated()) as url:
            yield url

    def emptied_database(self) -> str:
        """The URL of the one database with all tables that tests share, with nothing in them."""
        if self._shared is None:
            self._shared = SharedDatabase(self._address(self._create(self._migrated())))
        self._shared.empty()
        return self._shared.url

    def drop_shared(self) -> None:
        """Drop the database that tests shared, and the one that others were copied from."""
        if self._shared is not None:
            self._drop(str(make_url(self._shared.url).database))
        if self._template is not None:
            self._drop(self._template)

    def _migrated(self) -> str:
        """The name of the database that others are copied from."""
        if self._template is None:
            self._template = self._create("template0")
            store = Store.open(self._address(self._template))
            store.migrate()
            store.close()
        return self._template

    @contextmanager
    def _database(self, template: str) -> Iterator[str]:
        name = self._create(template)
        try:
            yield self._address(name)
        finally:
            self._drop(name)

    def _create(self, template: str) -> str:
        name = f"walls_{uuid.uuid4().hex}"
        self._run(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return name

    def _drop(self, name: str) -> None:
        self._run(f'DROP DATABASE "{name}" WITH (FORCE)')

    def _address(self, name: str) -> str:
        return make_url(self.url).set(database=name).render_as_string(hide_password=False)

    def _run(self, statement: str) -> None:
        with connected(self.url) as connection:
            connection.execute(statement.encode("ascii"))


class SharedDatabase:
    """A database that is brought back to the rows it had when it was made.

    Faster than a copy for each test, which writes all its pages.
    """

    def __init__(self, url: str) -> None:
        self.url = url
        tables = [sql.Identifier(table.name) for table in METADATA.sorted_tables]
        with connected(url) as connection:
            self._rows = [
                (table, connection.execute(sql.SQL("SELECT * FROM {}").format(table)).fetchall())
                for table in tables
            ]
            made = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
            assert {name for (name,) in made} == {*METADATA.tables, "alembic_version"}
            assert connection.execute("SELECT count(*) FROM pg_sequences").fetchone() == (0,)

    def empty(self) -> None:
        """Part whoever is still connected, and put the first rows in the place of all others."""
        with connected(self.url) as connection, connection.transaction():
            connection.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
            for table, _ in reversed(self._rows):  # first what refers to others
                connection.execute(sql.SQL("DELETE FROM {}").format(table))
            for table, rows in self._rows:
                for row in rows:
                    values = sql.SQL(", ").join(map(sql.Literal, row))
                    connection.execute(sql.SQL("INSERT INTO {} VALUES ({})").format(table, values))


def connected(url: str) -> psycopg.Connection[tuple[Any, ...]]:
    """A connection past the service, in which each statement is its own transaction."""
    plain = make_url(url).set(drivername="postgresql")
    return psycopg.connect(plain.render_as_string(hide_password=False), autocommit=True)


@contextmanager
def running_server() -> Iterator[Server]:
    """The server that the environment names, else one of our own."""
    if given := os.environ.get(VARIABLE):
        server = Server(given)
        yield server
        server.drop_shared()
    else:
        with running_cluster() as cluster:
            yield Server(cluster.url)


@contextmanager
def started(manager: AbstractContextManager[Running]) -> Iterator[Running]:
    """What a manager starts; where there is no PostgreSQL the test fails with the remedy alone."""
    with ExitStack() as stack:
        try:
            running = stack.enter_context(manager)
        except ClusterStartError as error:
            message = f'{error}; -m "not postgresql" runs all other tests'
            raise pytest.fail.Exception(message, pytrace=False) from None
        yield running


def wants_server(item: pytest.Item) -> bool:
    """Whether a test runs on PostgreSQL: by a fixture, or by the database it was given."""
    call = getattr(item, "callspec", None)
    kind = call.params.get("database_kind") if call else None
    return kind == "postgresql" or not SERVERS.isdisjoint(getattr(item, "fixturenames", ()))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what wants PostgreSQL, so that `-m "not postgresql"` runs all the rest."""
    for item in filter(wants_server, items):
        item.add_marker(pytest.mark.postgresql)


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server."""
    with started(running_server()) as running:
        yield running


@pytest.fixture
def cluster() -> Iterator[Cluster]:
    """A PostgreSQL server of the test's own, to stop and start."""
    with started(running_cluster()) as running:
        yield running


@pytest.fixture
def clock() -> Clock:
    """A clock that a test moves."""
    return Clock()


@pytest.fixture(params=KINDS)
def database_kind(request: pytest.FixtureRequest) -> str:
    """Each database in turn."""
    kind: str = request.param
    return kind


@pytest.fixture
def empty_url(database_kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The URL of an empty database, on each in turn."""
    if database_kind == "sqlite":
        yield f"sqlite:///{tmp_path / 'store.sqlite'}"
    else:
        with request.getfixturevalue("server").empty_database() as url:
            yield url


@pytest.fixture
def store(
    database_kind: str, request: pytest.FixtureRequest, tmp_path: Path, clock: Clock
) -> Iterator[Store]:
    """A store with all tables and nothing in them, on each database in turn."""
    if database_kind == "sqlite":
        with sqlite_store(tmp_path, clock) as made:
            yield made
    else:
        server: Server = request.getfixturevalue("server")
        with opened(server.emptied_database(), clock) as made:
            yield made


@contextmanager
def sqlite_store(folder: Path, clock: Clock) -> Iterator[Store]:
    """A store with all tables and nothing in them, in `store.sqlite` in a folder."""
    file = folder / "store.sqlite"
    file.write_bytes(_migrated_file())
    with opened(f"sqlite:///{file}", clock) as made:
        yield made


@cache
def _migrated_file() -> bytes:
    """A SQLite file with all tables, migrated once."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "store.sqlite"
        with opened(f"sqlite:///{file}", Clock()) as made:
            made.migrate()
        return file.read_bytes()


@contextmanager
def opened(url: str, clock: Clock) -> Iterator[Store]:
    """A store that is closed at the end."""
    made = Store.open(url, now=clock)
    try:
        yield made
    finally:
        made.close()
