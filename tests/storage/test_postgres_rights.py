"""A PostgreSQL server whose tables are dropped, or whose rights are revoked, under a store."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import make_url

from service.storage import StorageForeignError, StorageGoneError, Store
from tests.given.stored_rows import read_names, write_row
from tests.given.stores import Clock, Server, connected, opened

Act = Callable[[Store], object]


def run(url: str, statement: str) -> None:
    """One statement of whoever owns the database."""
    with connected(url) as connection:
        connection.execute(statement.encode("ascii"))


@contextmanager
def user_of(url: str) -> Iterator[tuple[str, str]]:
    """A user who may read and write all tables of a database and owns none: its name, and the
    URL with it."""
    name = f"user_{uuid.uuid4().hex}"
    run(url, f"CREATE ROLE {name} LOGIN PASSWORD '{name}'")
    run(url, f"GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {name}")
    given = make_url(url).set(username=name, password=name)
    try:
        yield name, given.render_as_string(hide_password=False)
    finally:
        run(url, f"DROP OWNED BY {name}")
        run(url, f"DROP ROLE {name}")


def write(store: Store) -> None:
    """Write another row."""
    write_row(store, "second")


def assert_amiss(kind: type[Exception], said: str, store: Store, *acts: Act) -> None:
    """Each of these says what is amiss."""
    for act in acts:
        with pytest.raises(kind, match=said):
            act(store)


@pytest.mark.parametrize(("right", "needed_by"), [("SELECT", read_names), ("INSERT", write)])
def test_rights_that_are_revoked_are_told(
    server: Server, clock: Clock, right: str, needed_by: Act
) -> None:
    """Each call that needs them fails as one that can't reach the database, the look at it too,
    and all is well once they are given back."""
    table = "price_list_mapping"
    with (
        server.migrated_database() as url,
        user_of(url) as (name, users),
        opened(users, clock) as store,
    ):
        write_row(store, "first")
        store.check()
        run(url, f"REVOKE {right} ON {table} FROM {name}")
        assert_amiss(StorageGoneError, "give the rights back", store, needed_by, Store.check)
        run(url, f"GRANT {right} ON {table} TO {name}")
        store.check()
        write(store)
        assert read_names(store) == ["first", "second"]


def test_tables_that_are_dropped_are_told(server: Server, clock: Clock) -> None:
    """A table or a column that is missing, or all of them: what is to be done is said, and no
    driver's error passes."""
    with server.migrated_database() as url, opened(url, clock) as store:
        write_row(store, "first")
        run(url, "ALTER TABLE price_list_mapping RENAME saved_at TO elsewhere")
        said = "tables or columns are missing; restore it"
        assert_amiss(StorageForeignError, said, store, write)
        run(url, "DROP TABLE price_list_mapping CASCADE")
        assert_amiss(StorageForeignError, said, store, write, read_names, Store.check)
        run(url, "DROP SCHEMA public CASCADE")
        assert_amiss(StorageForeignError, said, store, write, read_names, Store.check)
