"""Keys against a model of them: whatever is made, changed, ended or runs out, in whatever order,
exactly the secrets of the model are good."""

from __future__ import annotations

import json
import tempfile
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, invariant, rule

from service.api.admission.stored_keys import StoredKeys
from service.api.dependencies import StoreShelf
from service.operations.callers.key_request import KeyRequest
from service.operations.callers.key_text import key_digest
from service.operations.callers.keys import KeyEndedError, end_key, make_key, rotate_key
from service.operations.idempotent import Outcome
from tests.given.counts import count_of
from tests.given.stores import Clock, sqlite_store

DAY_S = 86_400
SCOPES = st.sampled_from([("field",), ("quotes", "prices"), ("admin",)])


@dataclass
class Model:
    """A key: until when each of its secrets is good, and when it ends or has ended."""

    scopes: tuple[str, ...]
    ends: int | None
    secrets: dict[str, int | None] = field(default_factory=dict)

    def is_over(self, now: int) -> bool:
        """Whether none of its secrets is good any more."""
        return self.ends is not None and self.ends <= now

    def good(self, now: int) -> set[str]:
        """The secrets that are good."""
        if self.is_over(now):
            return set()
        return {key for key, until in self.secrets.items() if until is None or until > now}


class KeyMachine(RuleBasedStateMachine):
    """Makes, changes and ends keys, and lets time pass."""

    ids = Bundle("ids")

    def __init__(self) -> None:
        super().__init__()
        self.open = ExitStack()
        folder = self.open.enter_context(tempfile.TemporaryDirectory())
        self.clock = Clock()
        self.store = self.open.enter_context(sqlite_store(Path(folder), self.clock))
        self.read = StoredKeys(StoreShelf(lambda: self.store, self.store))
        self.keys: dict[str, Model] = {}

    def teardown(self) -> None:
        """Close the database."""
        self.open.close()

    def now(self) -> int:
        """The time."""
        return self.store.now()

    @rule(target=ids, scopes=SCOPES, days=st.none() | st.integers(0, 3))
    def make(self, scopes: tuple[str, ...], days: int | None) -> str:
        """A new key, which may have a last day."""
        asked: dict[str, object] = {"name": "x", "scopes": list(scopes)}
        ends = None
        if days is not None:
            last = datetime.fromtimestamp(self.now(), UTC).date() + timedelta(days=days)
            asked["expires"] = last.isoformat()
            midnight = datetime(last.year, last.month, last.day, tzinfo=UTC) + timedelta(days=1)
            ends = round(midnight.timestamp())
        with self.store.write() as connection:
            request = KeyRequest.model_validate(asked)
            outcome = make_key(connection, self.store, request, by="x")
        key_id, key = shown(outcome)
        self.keys[key_id] = Model(scopes, ends, {key: None})
        return key_id

    @rule(key_id=ids, hours=st.integers(0, 48))
    def rotate(self, key_id: str, hours: int) -> None:
        """Another secret: the newest so far is good for the overlap, older ones end now."""
        model, now = self.keys[key_id], self.now()
        with self.store.write() as connection:
            if model.is_over(now):
                with pytest.raises(KeyEndedError):
                    rotate_key(connection, self.store, key_id, hours * 3600, by="x")
                return
            outcome = rotate_key(connection, self.store, key_id, hours * 3600, by="x")
        *older, newest = model.secrets
        for key in older:
            until = model.secrets[key]
            model.secrets[key] = now if until is None or until > now else until
        model.secrets[newest] = now + hours * 3600
        model.secrets[shown(outcome)[1]] = None

    @rule(key_id=ids)
    def end(self, key_id: str) -> None:
        """End a key; once more is no other end."""
        with self.store.write() as connection:
            end_key(connection, self.store, key_id, by="x")
        model = self.keys[key_id]
        model.ends = self.now() if not model.is_over(self.now()) else model.ends

    @rule(hours=st.integers(1, 60))
    def wait(self, hours: int) -> None:
        """Let time pass."""
        self.clock.seconds += hours * 3600

    @invariant()
    def known_keys_are_those_of_the_model(self) -> None:
        """Each good secret is its key's, with its scopes; none else is good, none comes back."""
        now, read = self.now(), self.read(frozenset())
        assert read.in_force == bool(self.keys)
        good = {
            digest: known.caller
            for digest, known in read.by_digest.items()
            if known.until is None or known.until > now
        }
        expected = {
            key_digest(key): (key_id, frozenset(model.scopes))
            for key_id, model in self.keys.items()
            for key in model.good(now)
        }
        assert {digest: (each.by, each.scopes) for digest, each in good.items()} == expected


def shown(outcome: Outcome) -> tuple[str, str]:
    """The id and the key that an answer shows."""
    told = json.loads(outcome.body)
    return told["id"], told["key"]


TestKeyMachine = KeyMachine.TestCase
TestKeyMachine.settings = settings(
    max_examples=count_of("RUNS", 25), stateful_step_count=25, deadline=None
)
