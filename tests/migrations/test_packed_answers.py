"""Revision 0006: answers are kept compressed, and those that an earlier version kept are read."""

from __future__ import annotations

import zlib

from alembic import command
from sqlalchemy import insert, text

from service.storage import Store, open_engine
from service.storage.idempotency import KeptOutcome, KeyedCall, find, finish, take
from service.storage.quote_tables import QUOTE_REVISION
from service.storage.saved_quotes import find_revision
from tests.migrations.kill_points import configure
from tests.migrations.test_what_is_out import keep

ANSWER = b'{"price":{"margin":"0.2000"},"long":"' + b"so it goes, " * 500 + b'"}'
CALL = KeyedCall(caller="", method="POST", path="/v1/saved-quotes", key="k", fingerprint="f")
MANY = range(2, 260)


def kept_raw(url: str) -> dict[tuple[str, int], bytes]:
    """The answers as their bytes stand in the database."""
    with open_engine(url).connect() as connection:
        rows = connection.execute(text("SELECT quote_id, revision, answer FROM quote_revision"))
        return {(row.quote_id, row.revision): bytes(row.answer) for row in rows}


def test_upgrade_reads_answers_in_both_forms(empty_url: str) -> None:
    """An answer kept before stays as it is and one kept from now on takes a tenth of the room of
    this one; both are read byte for byte, as outcomes of keyed calls are. Going back, of several
    hundred, all are plain."""
    config = configure(empty_url)
    command.upgrade(config, "0004")
    with open_engine(empty_url).begin() as connection:
        keep(connection)
    command.upgrade(config, "head")
    before = kept_raw(empty_url)[("q1", 1)]
    store = Store.open(empty_url)
    with store.write() as connection:
        row = dict(connection.execute(QUOTE_REVISION.select()).mappings().first() or {})
        more = {"answer": ANSWER, "quote_id": "q1"}
        connection.execute(insert(QUOTE_REVISION), [row | more | {"revision": n} for n in MANY])
        take(connection, CALL, 1)
        finish(connection, CALL, KeptOutcome(fingerprint="f", status=201, headers="", body=ANSWER))
    with store.read() as connection:
        old, new = (find_revision(connection, "q1", number) for number in (1, 2))
        outcome = find(connection, CALL)
        body = connection.scalar(text("SELECT body FROM idempotency"))
    store.close()
    assert old is not None
    assert new is not None
    assert outcome is not None
    assert (old.answer, new.answer, outcome.body) == (before, ANSWER, ANSWER)
    raw = kept_raw(empty_url)
    assert raw[("q1", 1)] == before
    assert len(raw[("q1", 2)]) < len(ANSWER) / 10
    assert zlib.decompress(bytes(body or b"")) == ANSWER
    command.downgrade(config, "0005")
    plain = kept_raw(empty_url)
    assert {plain[("q1", number)] for number in MANY} == {ANSWER}
    with open_engine(empty_url).connect() as connection:
        assert bytes(connection.scalar(text("SELECT body FROM idempotency")) or b"") == ANSWER
