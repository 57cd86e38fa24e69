"""Calls with keys against a model of what was answered, whatever is repeated when."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from service.operations.idempotent import KEPT_SECONDS, Outcome, find_outcome, run_once
from service.operations.stored_refusals import KeyReusedError
from service.storage import Connection, Store
from service.storage.idempotency import KeyedCall
from tests.given.counts import count_of
from tests.given.stored_rows import insert_row, read_names
from tests.given.stores import Clock

# What a call may come to: kept, kept although refused, not kept, and a fault of the work itself.
KEPT, NOT_KEPT, RAISES = (201, 409), (400, 422, 503), 0


class _WorkFailedError(Exception):
    """The work raised."""


class Calls(RuleBasedStateMachine):
    """Two callers, two keys, two bodies, and a clock that moves on."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.clock = Clock()
        url = f"sqlite:///{Path(self.folder.name) / 'store.sqlite'}"
        self.store = Store.open(url, now=self.clock)
        self.store.migrate()
        # By caller and key: when the call came, its body, its status and what it answered.
        self.known: dict[tuple[str, str], tuple[int, str, int, str]] = {}
        self.stored: list[str] = []
        self.count = 0

    def teardown(self) -> None:
        """Close the database and remove its folder."""
        self.store.close()
        self.folder.cleanup()

    @rule(
        caller=st.sampled_from(["office", "field"]),
        key=st.sampled_from(["k1", "k2"]),
        body=st.sampled_from(["a", "b"]),
        status=st.sampled_from([*KEPT, *NOT_KEPT, RAISES]),
    )
    def call_once(self, caller: str, key: str, body: str, status: int) -> None:
        """A call comes, with whatever key."""
        self.call(caller, key, body, status)

    def call(self, caller: str, key: str, body: str, status: int) -> None:
        """The first outcome that is kept is answered again for a day, with its body alone."""
        self.count += 1
        name = f"row {self.count}"
        keyed = KeyedCall(caller=caller, method="POST", path="/", key=key, fingerprint=body)
        earlier = self.earlier(caller, key)
        try:
            done = run_once(self.store, keyed, lambda connection: work(connection, name, status))
        except KeyReusedError:
            assert earlier is not None
            assert earlier[1] != body
            return
        except _WorkFailedError:
            assert earlier is None
            return
        answered = (done.outcome.status, done.outcome.body.decode("ascii"))
        assert done.replayed == (earlier is not None)
        if earlier is not None:
            assert (body, *answered) == earlier[1:]
            return
        assert answered == (status, name)
        self.stored.append(name)
        if status in KEPT:
            self.known[caller, key] = (self.clock(), body, status, name)
        else:
            self.known.pop((caller, key), None)

    @rule(
        place=st.integers(0, 3),
        body=st.sampled_from(["a", "b"]),
        seconds=st.sampled_from([0, KEPT_SECONDS, KEPT_SECONDS + 1]),
    )
    def repeat(self, place: int, body: str, seconds: int) -> None:
        """A call whose outcome is kept comes again, at once, after a day, or a second later."""
        if self.known:
            caller, key = sorted(self.known)[place % len(self.known)]
            self.clock.seconds += seconds
            self.call(caller, key, body, 201)

    def earlier(self, caller: str, key: str) -> tuple[int, str, int, str] | None:
        """What is known of a key that is not older than a day."""
        found = self.known.get((caller, key))
        old = found is not None and found[0] < self.clock() - KEPT_SECONDS
        return None if old else found

    @rule(seconds=st.sampled_from([1, KEPT_SECONDS - 1]))
    def wait(self, seconds: int) -> None:
        """Time goes on."""
        self.clock.seconds += seconds

    @invariant()
    def only_what_was_done_is_stored(self) -> None:
        """A repeated call stores nothing, and neither does one that raised."""
        assert read_names(self.store) == sorted(self.stored)

    @invariant()
    def an_outcome_is_found_without_the_work(self) -> None:
        """Asked for by its key, an outcome of the last day is there, and none other."""
        for (caller, key), (_, body, status, name) in self.known.items():
            keyed = KeyedCall(caller=caller, method="POST", path="/", key=key, fingerprint=body)
            found = find_outcome(self.store, keyed)
            if self.earlier(caller, key) is None:
                assert found is None
            else:
                assert found is not None
                assert found.outcome.status == status
                assert found.outcome.body == name.encode("ascii")


def work(connection: Connection, name: str, status: int) -> Outcome:
    """Work that stores a row, then comes to a status or raises."""
    insert_row(connection, name)
    if status == RAISES:
        raise _WorkFailedError
    return Outcome(status=status, body=name.encode("ascii"))


TestCalls = Calls.TestCase
TestCalls.settings = settings(
    max_examples=count_of("RUNS", 20), stateful_step_count=30, deadline=None
)
