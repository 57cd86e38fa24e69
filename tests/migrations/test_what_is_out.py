"""Revision 0005 on quotes that an earlier version kept: what is out, drafts, margins, customers."""

from __future__ import annotations

import json
from typing import Any

from alembic import command
from sqlalchemy import Connection, text

from service.storage import Store, open_engine
from service.storage.quote_customers import find_customer
from service.storage.saved_quotes import find_quote, find_revision
from tests.migrations.kill_points import configure

# Quote by quote: the states of its revisions, and what they come to: states after, the one that
# is out, the draft, the current one.
KEPT: dict[str, tuple[tuple[str, ...], tuple[str, ...], int | None, int | None, int]] = {
    "q1": (("draft",), ("draft",), None, 1, 1),
    "q2": (("issued", "draft", "draft"), ("issued", "superseded", "draft"), 1, 3, 3),
    "q3": (("draft", "withdrawn"), ("draft", "withdrawn"), None, 1, 1),
    "q4": (("accepted", "withdrawn"), ("accepted", "withdrawn"), 1, None, 1),
    "q5": (("superseded", "declined"), ("superseded", "declined"), 2, None, 2),
    "q6": (("superseded", "withdrawn"), ("superseded", "withdrawn"), None, None, 2),
}
REVISION = {
    "engine_version": "0.2.0",
    "catalog_version": "0" * 64,
    "digest": "0" * 64,
    "title": "Wall",
    "title_folded": "wall",
    "reference": "Job-1",
    "currency": "USD",
    "minor_places": 2,
    "total_minor": 10725,
    "subtotal_minor": 10000,
    "cost_minor": 8000,
    "complete": 1,
    "materials_only": 0,
    "created_at": 1,
    "request": b"{}",
    "answer": json.dumps({"price": {"margin": "0.2000"}}).encode(),
    "answer_digest": "0" * 64,
}


def insert(connection: Connection, table: str, **row: Any) -> None:  # noqa: ANN401
    """Insert a row as the earlier version did."""
    names = ", ".join(row)
    values = ", ".join(f":{name}" for name in row)
    connection.execute(text(f"INSERT INTO {table} ({names}) VALUES ({values})"), row)  # noqa: S608


def keep(connection: Connection) -> None:
    """What an earlier version kept."""
    for number, (quote_id, (states, *_)) in enumerate(KEPT.items(), start=1):
        standing = [n for n, state in enumerate(states, 1) if state != "withdrawn"]
        current = (standing or [len(states)])[-1]
        insert(
            connection,
            "quote",
            id=quote_id,
            number=number,
            state=states[current - 1],
            current_revision=current,
            latest_revision=len(states),
            created_at=1,
            updated_at=1,
        )
        for revision, state in enumerate(states, start=1):
            row = {"quote_id": quote_id, "revision": revision, "state": state}
            insert(connection, "quote_revision", **row, **REVISION)
    insert(
        connection,
        "quote_customer",
        quote_id="q1",
        name="A. Client",
        address="1 Lane\nTown",
        updated_at=7,
    )


def test_upgrade_says_what_is_out_of_kept_quotes(empty_url: str) -> None:
    """States, the revision that is out, the draft, margins and customers, on both databases; of
    several drafts the newest stays. Back again name and address are what they were."""
    config = configure(empty_url)
    command.upgrade(config, "0004")
    with open_engine(empty_url).begin() as connection:
        keep(connection)
    command.upgrade(config, "head")
    store = Store.open(empty_url)
    with store.read() as connection:
        for quote_id, (_, states, out, draft, current) in KEPT.items():
            quote = find_quote(connection, quote_id)
            assert quote is not None
            assert tuple(held.state for held in quote.revisions) == states
            row = connection.execute(
                text("SELECT * FROM quote WHERE id = :id"), {"id": quote_id}
            ).one()
            assert (row.out_revision, row.draft_revision) == (out, draft)
            assert (row.current_revision, row.state) == (current, states[current - 1])
            assert row.out_state == (states[out - 1] if out else None)
            assert quote.current.number == current
        saved = find_revision(connection, "q1", 1)
        assert saved is not None
        assert str(saved.head.facts.margin) == "0.2000"
        assert json.loads(find_customer(connection, "q1") or b"") == {
            "name": "A. Client",
            "billing_address": {"lines": ["1 Lane", "Town"]},
        }
    store.close()
    command.downgrade(config, "0004")
    with open_engine(empty_url).connect() as connection:
        customer = connection.execute(text("SELECT * FROM quote_customer")).one()
    assert (customer.name, customer.address) == ("A. Client", "1 Lane\nTown")
