"""Saved quotes against a model of their states: whatever is done in whatever order."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, invariant, rule

from service.catalog.registry import catalog_of
from service.core.quote_state import QuoteIncompleteError, State, StateNotAllowedError
from service.operations.callers.caller import LOOPBACK
from service.operations.callers.erasing import forget_customer
from service.operations.conditions import ConditionFailedError, Conditions
from service.operations.saved import actuals, quote_customer, saved_quote
from service.operations.saved.customer_request import CustomerRequest, customer_to_core
from service.operations.saved.quote_moves import Wanted, move_quote, read_state
from service.operations.saved.reference_exists import ReferenceExistsError
from service.operations.saved.saved_quote import LATEST, known_quote
from service.operations.saved.saved_quote_answer import quote_tag
from service.storage import Store
from service.storage.quote_filter import QuoteFilter
from service.storage.quote_lists import list_quotes
from service.storage.quote_moves import MoveWords
from tests.given.counts import count_of
from tests.given.saved_drafts import draft
from tests.given.stores import Clock

TARGETS: tuple[State, ...] = ("issued", "accepted", "declined", "withdrawn")
REFERENCES = st.sampled_from([None, "job-1", "job-2", "job-3"])


@dataclass
class Model:
    """A quote as a caller knows it; states by revision, the first one at index 0."""

    states: list[str]
    complete: list[bool]
    names: list[str]
    references: set[str] = field(default_factory=set)
    customer: str | None = None
    actuals: dict[int, bytes] = field(default_factory=dict)

    def current(self) -> int:
        """The newest revision that is neither withdrawn nor superseded, else the newest."""
        overtaken = ("withdrawn", "superseded")
        standing = [i for i, state in enumerate(self.states) if state not in overtaken]
        return standing[-1] if standing else len(self.states) - 1

    def move(self, target: str) -> bool:
        """Do what a move does; whether it is allowed."""
        if target in ("accepted", "declined"):
            if "issued" not in self.states:
                return False
            place = len(self.states) - 1 - self.states[::-1].index("issued")
            self.states[place] = target
            if target == "accepted":
                for newer in range(place + 1, len(self.states)):
                    if self.states[newer] == "draft":
                        self.states[newer] = "withdrawn"
            return True
        place = self.current()
        if target == "withdrawn" and self.states[place] in ("draft", "issued"):
            self.states[place] = "withdrawn"
            return True
        if target == "issued" and self.states[place] == "draft" and self.complete[place]:
            for older in range(place):
                if self.states[older] in ("draft", "issued"):
                    self.states[older] = "superseded"
            self.states[place] = "issued"
            return True
        return False


class SavedQuotes(RuleBasedStateMachine):
    """Everything that can be done to saved quotes."""

    ids = Bundle("ids")

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.clock = Clock()
        url = f"sqlite:///{Path(self.folder.name) / 'store.sqlite'}"
        self.store = Store.open(url, now=self.clock)
        self.store.migrate()
        self.models: dict[str, Model] = {}
        self.count = 0

    def teardown(self) -> None:
        """Close the database and remove its folder."""
        self.store.close()
        self.folder.cleanup()

    def tag(self, quote: str) -> str:
        """The tag of a quote, which every change makes another one."""
        with self.store.read() as connection:
            return quote_tag(known_quote(connection, quote))

    def owner(self, reference: str | None) -> str | None:
        """Whose a reference is."""
        owners = (id_ for id_, model in self.models.items() if reference in model.references)
        return next(owners, None)

    @rule(target=ids, reference=REFERENCES, complete=st.booleans(), customer=st.booleans())
    def save(self, reference: str | None, *, complete: bool, customer: bool) -> str:
        """A new quote is a draft, unless its reference is another's."""
        self.count += 1
        name = f"wall {self.count}"
        whom = customer_to_core(CustomerRequest(name=name)) if customer else None
        made = draft(name, complete=complete, customer=whom, reference=reference)
        owner = self.owner(reference)
        if owner is not None:
            with pytest.raises(ReferenceExistsError) as caught, self.store.write() as connection:
                saved_quote.save_quote(connection, made, self.clock())
            assert caught.value.quote_id == owner
            return owner
        with self.store.write() as connection:
            saved = saved_quote.save_quote(connection, made, self.clock())
        assert saved.number == len(self.models) + 1
        self.models[saved.id] = Model(
            states=["draft"],
            complete=[complete],
            names=[name],
            references={reference} if reference else set(),
            customer=name if customer else None,
        )
        return saved.id

    @rule(quote=ids, reference=REFERENCES, complete=st.booleans(), stale=st.booleans())
    def revise(self, quote: str, reference: str | None, *, complete: bool, stale: bool) -> None:
        """A further revision needs the tag of the newest, and a reference of its own."""
        self.count += 1
        model, made = (
            self.models[quote],
            draft(f"wall {self.count}", complete=complete, reference=reference),
        )
        tag = '"stale"' if stale else self.tag(quote)
        conditions = Conditions(if_match=(tag,))
        refused = self.owner(reference) not in (None, quote)
        try:
            with self.store.write() as connection:
                answer = saved_quote.revise_quote(connection, quote, made, conditions, self.clock())
        except ConditionFailedError:
            assert stale
            return
        except ReferenceExistsError:
            assert refused
            assert not stale
            return
        assert not stale
        assert not refused
        assert answer.revision == len(model.states) + 1
        model.states = ["superseded" if held == "draft" else held for held in model.states]
        model.states.append("draft")
        model.complete.append(complete)
        model.names.append(f"wall {self.count}")
        if reference:
            model.references.add(reference)

    @rule(quote=ids, word=st.sampled_from(TARGETS), stale=st.booleans())
    def move(self, quote: str, word: State, *, stale: bool) -> None:
        """Allowed moves are done, all others refused, stale ones never looked at."""
        self.clock.seconds += 1
        tag = '"stale"' if stale else self.tag(quote)
        wanted = Wanted(target=word, words=MoveWords())
        try:
            with self.store.write() as connection:
                seen = Conditions(if_match=(tag,))
                move_quote(connection, quote, wanted, seen, self.clock(), catalog_of(()))
        except ConditionFailedError:
            assert stale
        except (StateNotAllowedError, QuoteIncompleteError):
            assert not stale
            assert not self.models[quote].move(word)
        else:
            assert not stale
            assert self.models[quote].move(word)

    @rule(quote=ids, name=st.sampled_from(["A", "B"]))
    def name_customer(self, quote: str, name: str) -> None:
        """A customer is named, in place of the one before."""
        model = self.models[quote]
        conditions = Conditions(if_match=(self.tag(quote),))
        with self.store.write() as connection:
            request = CustomerRequest(name=name)
            quote_customer.name_customer(connection, quote, request, conditions, self.clock())
        model.customer = name

    @rule(quote=ids)
    def erase_customer(self, quote: str) -> None:
        """A customer is erased, also where nobody is named."""
        with self.store.write() as connection:
            forget_customer(connection, quote, LOOPBACK, self.clock(), with_acceptance=False)
        self.models[quote].customer = None

    @rule(quote=ids, loads=st.integers(0, 9))
    def put_actuals(self, quote: str, loads: int) -> None:
        """What the job took stands beside an accepted revision only."""
        model, document = self.models[quote], b'{"haul_loads":%d}' % loads
        number = len(model.states)
        conditions = Conditions(if_match=(self.tag(quote),))
        try:
            with self.store.write() as connection:
                actuals.put_actuals(connection, (quote, LATEST), document, conditions, self.clock())
        except actuals.RevisionNotAcceptedError:
            assert model.states[-1] != "accepted"
        else:
            assert model.states[-1] == "accepted"
            model.actuals[number] = document

    @invariant()
    def everything_is_as_the_model_says(self) -> None:
        """Read back, each quote, its revisions, their bytes and its customer are the model's."""
        with self.store.read() as connection:
            for quote, model in self.models.items():
                state = read_state(connection, quote)
                assert [held.state for held in state.revisions] == model.states
                assert state.revision == model.current() + 1
                assert state.state == model.states[model.current()]
                for number, name in enumerate(model.names, start=1):
                    kept = saved_quote.read_revision(connection, quote, str(number))
                    assert kept.request == b'{"name":"%s"}' % name.encode()
                    assert kept.head.facts.title == name
                customer = None
                if model.customer is not None:
                    customer = quote_customer.read_customer(connection, quote).name
                assert customer == model.customer
                for number, document in model.actuals.items():
                    held = actuals.read_actuals(connection, quote, str(number))
                    assert bytes(held.actuals) == document

    @invariant()
    def lists_find_quotes_by_state(self) -> None:
        """A list by state holds the quotes whose current revision is in it, the newest first."""
        ids = list(self.models)[::-1]
        with self.store.read() as connection:
            for state in ("draft", "accepted", "withdrawn"):
                found = list_quotes(connection, QuoteFilter(states=(state,)), limit=200)
                assert [quote.id for quote in found] == [
                    quote
                    for quote in ids
                    if self.models[quote].states[self.models[quote].current()] == state
                ]


TestSavedQuotes = SavedQuotes.TestCase
TestSavedQuotes.settings = settings(
    max_examples=count_of("RUNS", 10), stateful_step_count=25, deadline=None
)
