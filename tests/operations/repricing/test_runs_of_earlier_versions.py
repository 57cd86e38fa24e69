"""Runs that an earlier version began: whoever takes them up brings them to the same end."""

from __future__ import annotations

import pytest
from sqlalchemy import select, update

from service.catalog import Catalog
from service.operations.repricing.repricing import reprice_chunk, work_off
from service.operations.repricing.repricing_reads import read_repricing
from service.operations.saved.waiting_answers import make_waiting
from service.storage import Store
from service.storage.repricing_tables import QUOTE_PRICING, REPRICING, REPRICING_CHUNK
from service.storage.waiting_drafts import find_waiting
from tests.given.repricings import items_of, quote_of, save_many, start

LIMIT = "service.operations.repricing.repricing_start.MOST_AT_ONCE"
QUOTES, CHUNK = 7, 3


@pytest.fixture
def most_kept_whole(monkeypatch: pytest.MonkeyPatch) -> int:
    """Every write of this version is a large one."""
    monkeypatch.setattr(LIMIT, 0)
    return 0


def as_begun_before(store: Store, run_id: str) -> None:
    """A run as an earlier version left it: smaller chunks, no digest of its prices, no list of
    those under the floor; quotes packed in the second form."""
    with store.write() as connection:
        connection.execute(
            update(REPRICING)
            .where(REPRICING.c.id == run_id)
            .values(chunk_size=CHUNK, prices_digest=None)
        )
        connection.execute(update(REPRICING_CHUNK).values(under=None))
        rows = connection.execute(select(QUOTE_PRICING)).all()
        for row in rows:
            place = (
                QUOTE_PRICING.c.quote_id == row.quote_id,
                QUOTE_PRICING.c.revision == row.revision,
            )
            packed = b"\x02" + bytes(row.packed)[1:]
            connection.execute(update(QUOTE_PRICING).where(*place).values(packed=packed))


def test_a_write_that_an_earlier_version_began_is_finished(
    store: Store, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it had written whole stays, the rest is kept as what changes; every quote has one new
    draft at the previewed total, and no answer is left waiting for long."""
    ids = save_many(store, spring, QUOTES)
    preview = start(store, summer).asked.id
    work_off(store, summer, preview)
    previewed = {item["id"]: item["new_total"] for item in items_of(store, preview)}
    run_id = start(store, summer, mode="write", preview=preview).asked.id
    as_begun_before(store, run_id)
    with monkeypatch.context() as earlier:
        earlier.setattr(LIMIT, QUOTES)
        reprice_chunk(store, summer, run_id, 0)
    as_begun_before(store, run_id)
    work_off(store, summer, run_id)
    with store.read() as connection:
        answer = read_repricing(connection, run_id, store.now())
        waiting = find_waiting(connection, limit=100)
    assert (answer.status, answer.counts.done, answer.counts.failed) == ("succeeded", QUOTES, 0)
    assert waiting == tuple((quote_id, 2) for quote_id in ids[CHUNK:])
    make_waiting(store, summer)
    items = {item["id"]: item for item in items_of(store, run_id)}
    assert {quote_id: item["new_total"] for quote_id, item in items.items()} == previewed
    for quote_id in ids:
        quote = quote_of(store, quote_id)
        assert [held.state for held in quote.revisions] == ["superseded", "draft"]
        assert items[quote_id]["written"]["revision"] == 2
    with store.read() as connection:
        assert find_waiting(connection, limit=100) == ()


def test_a_preview_that_an_earlier_version_made_is_written(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """A preview without a digest of its prices is written, at its totals."""
    save_many(store, spring, QUOTES)
    preview = start(store, summer).asked.id
    as_begun_before(store, preview)
    work_off(store, summer, preview)
    as_begun_before(store, preview)
    run_id = start(store, summer, mode="write", preview=preview).asked.id
    work_off(store, summer, run_id)
    make_waiting(store, summer)
    with store.read() as connection:
        answer = read_repricing(connection, run_id, store.now())
        was = read_repricing(connection, preview, store.now())
    assert (answer.status, answer.counts.failed) == ("succeeded", 0)
    assert answer.summary.new_total == was.summary.new_total
