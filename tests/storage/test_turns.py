"""Turns: who takes one waits for whoever has it, and for nobody else."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import OperationalError

from service.storage import Connection, Store
from service.storage.turns import Turn, take_turn

pytestmark = pytest.mark.parametrize("database_kind", ["postgresql"], indirect=True)


def take(connection: Connection, turn: Turn) -> None:
    """Take a turn, or wait for it no longer than a moment."""
    connection.execute(text("SET LOCAL lock_timeout = 300"))
    take_turn(connection, turn)


@pytest.mark.parametrize("turn", Turn)
def test_take_turn_waits_for_who_has_the_same(store: Store, turn: Turn) -> None:
    """One transaction has a turn, to its end."""
    with store.write() as first:
        take_turn(first, turn)
        with store.write() as second, pytest.raises(OperationalError):
            take(second, turn)
    with store.write() as third:
        take(third, turn)


@pytest.mark.parametrize("turn", Turn)
def test_take_turn_waits_for_no_other_matter(store: Store, turn: Turn) -> None:
    """Who keeps a lead waits for nobody who makes a key, and so on."""
    with store.write() as first:
        take_turn(first, turn)
        with store.write() as second:
            for other in set(Turn) - {turn}:
                take(second, other)
