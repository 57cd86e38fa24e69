"""Quotes as they are kept: what takes time is done before a transaction holds the database."""

from __future__ import annotations

import zlib
from decimal import Decimal

import pytest

from service.storage import Store
from service.storage.quote_rows import NewRevision, RevisionFacts
from service.storage.saved_quotes import find_revision, insert_quote

ANSWER = b'{"price":{"total":"1.00"},"lines":[' + b'"a line",' * 500 + b'"the last"]}'


def new_revision() -> NewRevision:
    """A quote of one line."""
    facts = RevisionFacts(
        engine_version="1",
        catalog_version="0" * 64,
        digest="0" * 64,
        currency="USD",
        minor_places=2,
        total=Decimal("1.00"),
        subtotal=Decimal("1.00"),
        cost=Decimal("1.00"),
        complete=True,
        materials_only=False,
    )
    return NewRevision(facts=facts, request=b"{}", answer=ANSWER)


def test_new_revision_is_packed_before_it_is_kept(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is packed within the transaction, and the answer is kept byte for byte."""
    kept = new_revision()

    def held_up(*_: object) -> bytes:
        pytest.fail("an answer is packed while other writers wait")

    with monkeypatch.context() as patch, store.write() as connection:
        patch.setattr(zlib, "compress", held_up)
        quote_id = insert_quote(connection, "word", kept, 0)
    with store.read() as connection:
        saved = find_revision(connection, quote_id, 1)
        rows = connection.exec_driver_sql("SELECT length(answer) FROM quote_revision").all()
    assert saved is not None
    assert saved.answer == ANSWER
    assert rows[0][0] <= len(ANSWER) / 4
