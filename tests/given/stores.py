"""Databases for tests: SQLite files, and databases of their own on a PostgreSQL server."""

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url

from service.storage import Store
from tests.cluster import VARIABLE, running_cluster

KINDS = ("sqlite", "postgresql")


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

    @contextmanager
    def empty_database(self) -> Iterator[str]:
        """The URL of an empty database, dropped at the end."""
        with self._database("template0") as url:
            yield url

    @contextmanager
    def migrated_database(self) -> Iterator[str]:
        """The URL of a database with all tables, copied from one that was migrated once."""
        if self._template is None:
            self._template = self._create("template0")
            store = Store.open(self._address(self._template))
            store.migrate()
            store.close()
        with self._database(self._template) as url:
            yield url

    def drop_template(self) -> None:
        """Drop the database that others were copied from."""
        if self._template is not None:
            self._run(f'DROP DATABASE "{self._template}" WITH (FORCE)')

    @contextmanager
    def _database(self, template: str) -> Iterator[str]:
        name = self._create(template)
        try:
            yield self._address(name)
        finally:
            self._run(f'DROP DATABASE "{name}" WITH (FORCE)')

    def _create(self, template: str) -> str:
        name = f"walls_{uuid.uuid4().hex}"
        self._run(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return name

    def _address(self, name: str) -> str:
        return make_url(self.url).set(database=name).render_as_string(hide_password=False)

    def _run(self, statement: str) -> None:
        plain = make_url(self.url).set(drivername="postgresql")
        address = plain.render_as_string(hide_password=False)
        with psycopg.connect(address, autocommit=True) as connection:
            connection.execute(statement.encode("ascii"))


@contextmanager
def running_server() -> Iterator[Server]:
    """The server that the environment names, else one of our own."""
    if given := os.environ.get(VARIABLE):
        server = Server(given)
        yield server
        server.drop_template()
    else:
        with running_cluster() as cluster:
            yield Server(cluster.url)


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server."""
    with running_server() as running:
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
        with opened(f"sqlite:///{tmp_path / 'store.sqlite'}", clock) as made:
            made.migrate()
            yield made
    else:
        with (
            request.getfixturevalue("server").migrated_database() as url,
            opened(url, clock) as made,
        ):
            yield made


@contextmanager
def opened(url: str, clock: Clock) -> Iterator[Store]:
    """A store that is closed at the end."""
    made = Store.open(url, now=clock)
    try:
        yield made
    finally:
        made.close()
