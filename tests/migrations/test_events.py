"""Revision 0009: a call that is repeated after the upgrade is still known by its key."""

from __future__ import annotations

from alembic import command
from sqlalchemy import text

from service.storage import Store, open_engine
from service.storage.idempotency import KeyedCall, find
from tests.migrations.kill_points import configure

KEPT = text(
    "INSERT INTO idempotency (caller, method, path, key, fingerprint, status, headers, created_at)"
    " VALUES ('', 'POST', '/v1/saved-quotes', 'k', 'f', 201, '{}', 1)"
)


def test_outcomes_of_before_are_those_of_the_machine_itself(empty_url: str) -> None:
    """Without keys all callers were one, without a name; that one is `loopback` now, and on the
    way back it has no name again."""
    config = configure(empty_url)
    command.upgrade(config, "0008")
    with open_engine(empty_url).begin() as connection:
        connection.execute(KEPT)
    command.upgrade(config, "head")
    store = Store.open(empty_url)
    call = KeyedCall(
        caller="loopback", method="POST", path="/v1/saved-quotes", key="k", fingerprint="f"
    )
    with store.read() as connection:
        outcome = find(connection, call)
    store.close()
    assert outcome is not None
    assert outcome.status == 201
    command.downgrade(config, "0008")
    with open_engine(empty_url).connect() as connection:
        assert connection.scalars(text("SELECT caller FROM idempotency")).all() == [""]
