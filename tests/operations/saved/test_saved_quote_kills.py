"""A process that is killed while it stores: after any statement, nothing or everything is there.

The child is killed by its own hand after its n-th statement, for every n, then the call is
repeated with its key, as a caller does that got no answer.
"""

from __future__ import annotations

import os
from collections.abc import Callable

import pytest
from sqlalchemy import func, select

from service.catalog.registry import catalog_of
from service.operations.conditions import Conditions
from service.operations.idempotent import Outcome, StoredOutcome, run_once
from service.operations.saved import saved_quote
from service.operations.saved.quote_moves import Wanted, move_quote, read_state
from service.operations.saved.saved_quote_answer import quote_tag
from service.storage import Connection, Store
from service.storage.event_tables import EVENT
from service.storage.idempotency import KeyedCall
from service.storage.quote_customers import Customer
from service.storage.quote_filter import QuoteFilter
from service.storage.quote_lists import list_quotes
from service.storage.quote_moves import MoveWords
from service.storage.quote_tables import QUOTE_CUSTOMER, QUOTE_MOVE, QUOTE_REVISION
from tests.given.kills import die_after
from tests.given.saved_drafts import draft
from tests.given.stores import Clock

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

Call = Callable[[Store, str], StoredOutcome]
NEVER = 10_000


def run_and_die(url: str, call: Call, key: str, after: int) -> bool:
    """Call in a child that kills itself after so many statements, and at the latest once the
    work is committed and before anybody is told; whether it came so far."""
    child = os.fork()
    if child == 0:
        die_after(after)
        call(Store.open(url, now=Clock()), key)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFEXITED(status)


def keyed(key: str) -> KeyedCall:
    """A call by its key."""
    return KeyedCall(caller="", method="POST", path="/", key=key, fingerprint="x")


def save(store: Store, key: str) -> StoredOutcome:
    """Keep a quote under a reference, with a customer."""
    made = draft(key, customer=Customer(document=b"{}", names=("A",)), reference=key)

    def work(connection: Connection) -> Outcome:
        answer = saved_quote.save_quote(connection, made, store.now())
        return Outcome(status=201, body=answer.id.encode())

    return run_once(store, keyed(key), work)


def rows(store: Store) -> tuple[int, int, int, int]:
    """How many revisions, customers, moves and events there are."""
    with store.read() as connection:
        counts = [
            connection.execute(select(func.count()).select_from(table)).scalar_one()
            for table in (QUOTE_REVISION, QUOTE_CUSTOMER, QUOTE_MOVE, EVENT)
        ]
    return counts[0], counts[1], counts[2], counts[3]


def kept(quotes: int) -> tuple[int, int, int, int]:
    """The rows of so many quotes that were saved."""
    return quotes, quotes, 0, quotes


def test_a_killed_save_keeps_all_or_nothing(store: Store) -> None:
    """Killed after any statement nothing is there; repeated with its key it is kept once, and
    told once."""
    for after in range(1, NEVER):
        finished = run_and_die(store.url, save, f"job-{after}", after)
        assert rows(store) == kept(after - 1 + finished)
        repeated = save(store, f"job-{after}")
        assert repeated.replayed is finished
        assert rows(store) == kept(after)
        with store.read() as connection:
            newest = list_quotes(connection, QuoteFilter(), limit=1)[0]
        assert (newest.id.encode(), newest.number) == (repeated.outcome.body, after)
        if finished:
            break
    assert after > 5


def test_a_killed_move_moves_all_or_nothing(store: Store) -> None:
    """Issuing changes two revisions and a quote, and is told; killed in between it does none of
    it."""
    quote_id = save(store, "job").outcome.body.decode()

    def issue(store: Store, key: str) -> StoredOutcome:
        def work(connection: Connection) -> Outcome:
            seen = quote_tag(saved_quote.known_quote(connection, quote_id))
            conditions = Conditions(if_match=(seen,))
            wanted = Wanted(target="issued", words=MoveWords(note="out"))
            move_quote(connection, quote_id, wanted, conditions, store.now(), catalog_of(()))
            return Outcome(status=200, body=b"")

        return run_once(store, keyed(key), work)

    issue(store, "first")
    revise(store, quote_id)
    for after in range(1, NEVER):
        finished = run_and_die(store.url, issue, "issue", after)
        expected = ["superseded", "issued"] if finished else ["issued", "draft"]
        assert states(store, quote_id) == expected
        if finished:
            break
    assert after > 5
    assert issue(store, "issue").replayed
    assert rows(store) == (2, 1, 3, 4)


def revise(store: Store, quote_id: str) -> None:
    """Keep a further revision."""
    with store.write() as connection:
        tag = quote_tag(saved_quote.known_quote(connection, quote_id))
        conditions = Conditions(if_match=(tag,))
        saved_quote.revise_quote(connection, quote_id, draft("next"), conditions, store.now())


def states(store: Store, quote_id: str) -> list[str]:
    """The states of a quote's revisions."""
    with store.read() as connection:
        return [held.state for held in read_state(connection, quote_id).revisions]
