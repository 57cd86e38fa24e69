"""Revision 0007: an earlier version is not given drafts whose answers it can't make."""

from __future__ import annotations

import pytest
from alembic import command
from sqlalchemy import text

from service.storage import open_engine
from tests.migrations.kill_points import configure, read_state
from tests.migrations.test_what_is_out import keep


def test_downgrade_is_refused_while_answers_wait(empty_url: str) -> None:
    """With one answer that waits the way back is refused and nothing is taken away; the message
    says how many wait and who makes them. Once it is made the way is free."""
    config = configure(empty_url)
    command.upgrade(config, "0004")
    with open_engine(empty_url).begin() as connection:
        keep(connection)
    command.upgrade(config, "0007")
    set_made_from(empty_url, 1)
    before = read_state(empty_url)
    with pytest.raises(RuntimeError, match=r"^1 answers wait to be made; a service of this"):
        command.downgrade(config, "0006")
    assert read_state(empty_url) == before
    set_made_from(empty_url, None)
    command.downgrade(config, "0006")
    assert read_state(empty_url)[0] == "0006"


def set_made_from(url: str, revision: int | None) -> None:
    """Say of one revision of which it is made, if its answer waits."""
    statement = text("UPDATE quote_revision SET made_from = :revision WHERE quote_id = 'q1'")
    with open_engine(url).begin() as connection:
        assert connection.execute(statement, {"revision": revision}).rowcount == 1
