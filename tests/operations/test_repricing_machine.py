"""Re-pricing against a model of quotes and runs: whatever is published, run, stopped, taken up
again, cancelled, issued, revised, moved and read in whatever order."""

from __future__ import annotations

import json
import math
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from sqlalchemy import select

from service.catalog import Catalog
from service.catalog.registry import catalog_of
from service.core.errors import QuoteFaultsError
from service.core.quote_state import State, StateNotAllowedError
from service.operations.conditions import Conditions
from service.operations.prices import price_lists
from service.operations.repricing import repricing
from service.operations.repricing.repricing_issue import (
    IssueRequest,
    NothingWrittenError,
    issue_drafts,
)
from service.operations.repricing.repricing_reads import read_repricing
from service.operations.repricing.repricing_start import MOST_AT_ONCE
from service.operations.saved import saved_quote
from service.operations.saved.quote_moves import Wanted, move_quote
from service.operations.saved.saved_quote_answer import quote_tag
from service.operations.saved.waiting_answers import with_answers
from service.storage import Connection, Store, repricing_chunks
from service.storage import price_lists as rows
from service.storage.quote_moves import MoveWords
from service.storage.quote_tables import QUOTE_REVISION
from service.storage.waiting_drafts import find_waiting
from tests.given.counts import count_of
from tests.given.repricings import (
    COSTS,
    catalog_at,
    draft_of,
    items_of,
    save,
    start,
    yard_request,
)
from tests.given.stores import Clock, sqlite_store

Price = tuple[str, int]  # price list and its revision
DAY = date(2026, 5, 4)
YARD: Price = ("yard", 1)
LIST = "quarry"
FEET = (20, 21, 24)
# Of runs, the last ones are gone on with.
RECENT = 3
# Where there are many quotes, the first ones come more often.
PLACES = st.one_of(st.integers(0, 3), st.integers(0, 999))


@cache
def catalog() -> Catalog:
    """The catalog, whose own list quotes are made on by hand."""
    with tempfile.TemporaryDirectory() as folder:
        return catalog_at(Path(folder), 1)


@cache
def made_by_hand(feet: int) -> saved_quote.Draft:
    """A wall as it is quoted by hand."""
    asked = yard_request(feet=feet, engineering={"settled": "by_owner"})
    return draft_of(catalog(), asked)


@cache
def total_of(feet: int, hundredths: int) -> Fraction:
    """What a wall costs at costs times a factor: its printed quantities, then the roll-up of 10 %,
    5 %, a margin of a fifth and a tax of 7.25 %."""
    answer = json.loads(made_by_hand(feet).kept.answer)
    costs = [
        half_up(
            Fraction(line["quantity"]["value"])
            * Fraction(COSTS[line["item"]][0])
            * Fraction(hundredths, 100)
        )
        for line in answer["price"]["lines"]
    ]
    direct = sum(costs, Fraction(0))
    cost = direct + half_up(direct / 10)
    cost += half_up(cost / 20)
    subtotal = cost + half_up(cost / 4)
    return subtotal + half_up(subtotal * Fraction("0.0725"))


def half_up(amount: Fraction) -> Fraction:
    """To the cent."""
    return Fraction(math.floor(amount * 100 + Fraction(1, 2)), 100)


@dataclass
class Revision:
    """One revision as a caller knows it."""

    state: str
    feet: int
    price: Price
    total: Fraction
    repriced: bool = False
    supersedes: int | None = None
    waits: bool = False


@dataclass
class Quote:
    """Its revisions, the first one at index 0; numbers count from 1."""

    revisions: list[Revision]

    def number_of(self, *states: str) -> int | None:
        """The newest revision in one of some states."""
        found = [n for n, each in enumerate(self.revisions, start=1) if each.state in states]
        return found[-1] if found else None

    def at(self, number: int) -> Revision:
        """A revision by its number."""
        return self.revisions[number - 1]

    def put(self, revision: Revision) -> int:
        """A further draft takes the place of the one before."""
        for each in self.revisions:
            if each.state == "draft":
                each.state = "superseded"
        self.revisions.append(revision)
        return len(self.revisions)

    def move(self, target: str) -> bool:
        """Do what a move does; whether it is allowed."""
        if target in ("accepted", "declined"):
            out = self.number_of("issued")
            if out is None:
                return False
            self.at(out).state = target
            if target == "accepted":
                for newer in self.revisions[out:]:
                    if newer.state == "draft":
                        newer.state = "withdrawn"
            return True
        standing = [
            n
            for n, each in enumerate(self.revisions, start=1)
            if each.state not in ("withdrawn", "superseded")
        ]
        current = self.at(standing[-1] if standing else len(self.revisions))
        if target == "withdrawn" and current.state in ("draft", "issued"):
            current.state = "withdrawn"
            return True
        if target == "issued" and current.state == "draft":
            for older in self.revisions:
                if older is not current and older.state in ("draft", "issued"):
                    older.state = "superseded"
            current.state, current.waits = "issued", False
            return True
        return False


@dataclass(frozen=True)
class Chosen:
    """What a run reads of one quote; no revision: it can't be re-priced."""

    quote: str
    revision: int | None = None
    state: str = ""
    kept_draft: bool = False


@dataclass
class Run:
    """A run: what it reads, and what its finished places came to: a written revision, None, or
    that it failed."""

    id: str
    mode: str
    target: Price
    chosen: list[Chosen]
    chunk: int
    status: str = "queued"
    results: list[int | str | None] = field(default_factory=list)

    @property
    def is_open(self) -> bool:
        """Whether it can go on."""
        return self.status in ("queued", "running")


class _KilledError(Exception):
    """The process is gone in the middle of a chunk."""


class Repricings(RuleBasedStateMachine):
    """A few quotes, whose drafts are kept whole."""

    quotes: ClassVar[int] = 4
    chunk: ClassVar[int] = 2
    most_kept_whole: ClassVar[int] = MOST_AT_ONCE

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.patch = pytest.MonkeyPatch()
        sizes = dict.fromkeys(("WRITE_CHUNK", "LARGE_CHUNK", "PREVIEW_CHUNK"), self.chunk)
        for name, size in {**sizes, "MOST_AT_ONCE": self.most_kept_whole}.items():
            self.patch.setattr(f"service.operations.repricing.repricing_start.{name}", size)
        self.clock = Clock()
        self.opened = sqlite_store(Path(self.folder.name), self.clock)
        self.store: Store = self.opened.__enter__()
        self.models: dict[str, Quote] = {}
        for n in range(self.quotes):
            feet = FEET[n % len(FEET)]
            quote = save(self.store, made_by_hand(feet))
            self.models[quote] = Quote([by_hand(feet)])
        self.factors: list[int] = []
        self.runs: list[Run] = []
        self.publish_revision(110)

    @property
    def is_large(self) -> bool:
        """Whether its writes keep drafts as what changes."""
        return self.quotes > self.most_kept_whole

    def teardown(self) -> None:
        """Close the database and remove its folder."""
        self.opened.__exit__(None, None, None)
        self.patch.undo()
        self.folder.cleanup()

    @rule(hundredths=st.integers(50, 200))
    def publish(self, hundredths: int) -> None:
        """A further revision of the list, if it says anything else."""
        if self.factors[-1] != hundredths:
            self.publish_revision(hundredths)

    def publish_revision(self, hundredths: int) -> None:
        """Every cost times a factor."""
        with self.store.read() as connection:
            head = rows.find_latest(connection, LIST)
        seen = Conditions(if_none=True)
        if head is not None:
            seen = Conditions(if_match=(f'"{head.content_digest}"',))
        document: dict[str, Any] = {
            "currency": "USD",
            "effective_from": "2026-01-01",
            "items": {
                item: {"unit_cost": f"{Decimal(cost) * hundredths / 100:f}", "per": per}
                for item, (cost, per) in COSTS.items()
            },
        }
        done = price_lists.publish(self.store, catalog_of(()), LIST, document, seen, call=None)
        assert done.outcome.status == 201
        self.factors.append(hundredths)

    @rule(include_issued=st.booleans(), back=st.integers(0, 1))
    def preview(self, *, include_issued: bool, back: int) -> None:
        """A run on one of the last two revisions reads drafts, and prices that are out if asked."""
        self.clock.seconds += 1
        number = max(1, len(self.factors) - back)
        run = start(
            self.store,
            catalog(),
            price_list=LIST,
            revision=number,
            include_issued=include_issued,
            quotes={"ids": list(self.models)},
        )
        chosen = self.chosen(include_issued=include_issued)
        assert run.total == len(chosen)
        self.runs.append(Run(run.asked.id, "preview", (LIST, number), chosen, self.chunk))

    @rule(include_issued=st.booleans(), back=st.integers(0, 1), chunks=st.sampled_from([0, 1, 9]))
    def reprice(self, *, include_issued: bool, back: int, chunks: int) -> None:
        """A preview to its end, and its write as far as somebody works on it."""
        self.preview(include_issued=include_issued, back=back)
        self.work(0, 9, killed=False)
        self.write(0)
        if chunks:
            self.work(0, chunks, killed=False)

    def chosen(self, *, include_issued: bool) -> list[Chosen]:
        """What a run reads, in order; last what it can't re-price."""
        found, missed = [], []
        for id_, quote in self.models.items():
            out, draft = quote.number_of("issued"), quote.number_of("draft")
            hand = draft is not None and not quote.at(draft).repriced
            reads_out = include_issued and out is not None
            if reads_out:
                found.append(Chosen(id_, out, "issued", kept_draft=hand))
            if draft is not None and (hand or not reads_out):
                found.append(Chosen(id_, draft, "draft"))
            if draft is None and not reads_out:
                missed.append(Chosen(id_))
        return [*found, *missed]

    @precondition(lambda self: self.runs)
    @rule(place=st.integers(0, RECENT - 1))
    def write(self, place: int) -> None:
        """A preview that succeeded is written, nothing else."""
        self.clock.seconds += 1
        of = self.runs[-1 - place % len(self.runs)]
        try:
            run = start(self.store, catalog(), mode="write", preview=of.id)
        except QuoteFaultsError:
            assert (of.mode, of.status) != ("preview", "succeeded")
            return
        assert (of.mode, of.status) == ("preview", "succeeded")
        self.runs.append(Run(run.asked.id, "write", of.target, of.chosen, self.chunk))

    @precondition(lambda self: self.runs)
    @rule(place=st.integers(0, RECENT - 1), chunks=st.integers(1, 9), killed=st.booleans())
    def work(self, place: int, chunks: int, *, killed: bool) -> None:
        """Somebody takes a run up at its first unfinished chunk, and after some is gone: between
        two chunks, or in the middle of one, of which nothing stays."""
        run = self.runs[-1 - place % len(self.runs)]
        left = iter(range(chunks - 1, -1, -1))
        repricing.work_off(self.store, catalog(), run.id, lambda _chunk: bool(next(left)))
        for _ in range(chunks):
            self.finish_chunk(run)
        if killed and run.is_open:
            with pytest.MonkeyPatch.context() as patch:
                patch.setattr(repricing_chunks, "put_chunk", die)
                with pytest.raises(_KilledError):
                    repricing.work_off(self.store, catalog(), run.id)

    def finish_chunk(self, run: Run) -> None:
        """What the next chunk of a run comes to."""
        if not run.is_open:
            return
        first = len(run.results)
        for each in run.chosen[first : first + run.chunk]:
            run.results.append(self.written(run, each) if each.revision else "failed")
        run.status = "succeeded" if len(run.results) == len(run.chosen) else "running"

    def written(self, run: Run, of: Chosen) -> int | str | None:
        """What a write makes of a quote: a revision, nothing, or a failure."""
        quote, number = self.models[of.quote], of.revision or 0
        before = quote.at(number)
        if run.mode == "preview" or before.price == run.target or of.kept_draft:
            return None
        draft = quote.number_of("draft")
        if of.state == "draft" and draft != number:
            return "failed"
        if of.state == "issued":
            if quote.number_of("issued") != number:
                return "failed"
            if draft is not None and not quote.at(draft).repriced:
                return "failed"
            if draft is not None and self.stands(quote.at(draft), number, run.target):
                return draft
        total = total_of(before.feet, self.factors[run.target[1] - 1])
        revision = Revision("draft", before.feet, run.target, total, repriced=True)
        revision.supersedes, revision.waits = number, self.is_large
        if not self.is_large:
            before.waits = False
        return quote.put(revision)

    def stands(self, draft: Revision, number: int, target: Price) -> bool:
        """Whether a draft is what would be written beside the price that is out."""
        return draft.price == target and (not self.is_large or draft.supersedes == number)

    @precondition(lambda self: self.runs)
    @rule(place=st.integers(0, RECENT - 1))
    def cancel(self, place: int) -> None:
        """What isn't over stops, and what it wrote stays."""
        run = self.runs[-1 - place % len(self.runs)]
        try:
            with self.store.write() as connection:
                repricing.cancel_repricing(connection, run.id, self.clock())
        except repricing.RepricingFinishedError:
            assert run.status == "succeeded"
        else:
            assert run.status != "succeeded"
            run.status = "cancelled"

    @precondition(lambda self: self.runs)
    @rule(place=st.integers(0, RECENT - 1), which=st.lists(PLACES, min_size=1, max_size=3))
    def issue(self, place: int, which: list[int]) -> None:
        """Drafts of a write that is over are issued, each that still stands."""
        self.clock.seconds += 1
        run = self.runs[-1 - place % len(self.runs)]
        ids = list(dict.fromkeys(list(self.models)[n % len(self.models)] for n in which))
        asked = IssueRequest.model_validate({"on": DAY.isoformat(), "ids": ids})
        try:
            with self.store.write() as connection:
                done = issue_drafts(connection, run.id, asked, self.clock(), catalog())
        except NothingWrittenError:
            assert run.mode == "preview" or run.is_open
            return
        assert run.mode == "write"
        assert not run.is_open
        outcomes = {item.id: item.outcome for item in done.items}
        assert outcomes == {id_: self.issued(run, id_) for id_ in ids}

    def issued(self, run: Run, id_: str) -> str:
        """What becomes of the draft that a run wrote of a quote."""
        pairs = zip(run.chosen, run.results, strict=False)
        numbers = [held for of, held in pairs if of.quote == id_ and isinstance(held, int)]
        quote = self.models[id_]
        if not numbers or quote.number_of("draft") != numbers[-1]:
            return "failed"
        return "issued" if quote.move("issued") else "failed"

    @rule(n=PLACES, feet=st.sampled_from(FEET))
    def revise(self, n: int, feet: int) -> None:
        """A further revision is made by hand."""
        id_ = self.nth(n)
        with self.store.write() as connection:
            seen = Conditions(if_match=(self.tag(connection, id_),))
            saved_quote.revise_quote(connection, id_, made_by_hand(feet), seen, self.clock())
        self.models[id_].put(by_hand(feet))

    @rule(
        n=PLACES,
        word=st.sampled_from(["issued", "issued", "accepted", "declined", "withdrawn"]),
    )
    def move(self, n: int, word: State) -> None:
        """A quote is brought into a state, where that is allowed."""
        self.clock.seconds += 1
        id_ = self.nth(n)
        wanted = Wanted(target=word, words=MoveWords(on=DAY))
        try:
            with self.store.write() as connection:
                seen = Conditions(if_match=(self.tag(connection, id_),))
                move_quote(connection, id_, wanted, seen, self.clock(), catalog())
        except StateNotAllowedError:
            assert not self.models[id_].move(word)
        else:
            assert self.models[id_].move(word)

    @rule(n=PLACES)
    def read(self, n: int) -> None:
        """Whoever reads an answer finds it made, at the total that was told."""
        id_ = self.nth(n)
        quote = self.models[id_]
        number = len(quote.revisions)

        def answer(store: Store) -> bytes:
            with store.read() as connection:
                return saved_quote.read_revision(connection, id_, str(number)).answer

        made = json.loads(with_answers(self.store, catalog(), answer))
        newest = quote.revisions[-1]
        newest.waits = False
        assert Fraction(made["price"]["total"]) == newest.total
        assert (made["price_list"]["id"], made["price_list"]["revision"]) == newest.price

    def nth(self, n: int) -> str:
        """One of the quotes."""
        return list(self.models)[n % len(self.models)]

    @staticmethod
    def tag(connection: Connection, id_: str) -> str:
        """The tag of a quote."""
        return quote_tag(saved_quote.known_quote(connection, id_))

    @invariant()
    def quotes_are_as_the_model_says(self) -> None:
        """States, totals and prices of every revision, and which answers wait."""
        held = QUOTE_REVISION.c
        with self.store.read() as connection:
            kept = connection.execute(
                select(
                    held.quote_id,
                    held.revision,
                    held.state,
                    held.total_minor,
                    held.price_list,
                    held.price_list_revision,
                )
            ).all()
            waiting = find_waiting(connection, limit=10_000)
        found = {tuple(row[:2]): tuple(row[2:]) for row in kept}
        assert found == dict(self.expected())
        assert sorted(waiting) == sorted(
            (id_, n)
            for id_, quote in self.models.items()
            for n, each in enumerate(quote.revisions, start=1)
            if each.waits
        )

    def expected(self) -> Iterator[tuple[tuple[str, int], tuple[object, ...]]]:
        """Every revision, as it should be kept."""
        for id_, quote in self.models.items():
            for n, each in enumerate(quote.revisions, start=1):
                yield (id_, n), (each.state, each.total * 100, *each.price)

    @invariant()
    def runs_are_as_the_model_says(self) -> None:
        """Status and counts of the runs that anything is done with."""
        with self.store.read() as connection:
            for run in self.runs[-RECENT:]:
                answer = read_repricing(connection, run.id, self.clock())
                counts = answer.counts
                assert answer.status == run.status
                assert counts.done == len(run.results)
                assert counts.failed == run.results.count("failed")

    @precondition(lambda self: self.runs and self.runs[-1].results)
    @invariant()
    def items_are_as_the_model_says(self) -> None:
        """What the newest run says of each quote that it has done."""
        run = self.runs[-1]
        items = items_of(self.store, run.id)
        factor = self.factors[run.target[1] - 1]
        for of, item, result in zip(run.chosen, items, run.results, strict=False):
            assert item["id"] == of.quote
            assert (item["outcome"] == "failed") == (result == "failed")
            if result == "failed" or of.revision is None:
                continue
            before = self.models[of.quote].at(of.revision)
            assert Fraction(item["old_total"]) == before.total
            assert Fraction(item["new_total"]) == total_of(before.feet, factor)
            written = item.get("written")
            assert (None if written is None else written["revision"]) == result


def by_hand(feet: int) -> Revision:
    """A draft as somebody makes it."""
    return Revision("draft", feet, YARD, total_of(feet, 100))


def die(*_given: object) -> None:
    """Instead of keeping a chunk."""
    raise _KilledError


class WaitingRepricings(Repricings):
    """As few quotes, whose drafts wait for their answers."""

    most_kept_whole = 0


class LargeRepricings(Repricings):
    """More quotes than are kept whole."""

    quotes = MOST_AT_ONCE + 3
    chunk = 70


TestRepricings = Repricings.TestCase
TestRepricings.settings = settings(
    max_examples=count_of("RUNS", 5), stateful_step_count=25, deadline=None
)
TestWaitingRepricings = WaitingRepricings.TestCase
TestWaitingRepricings.settings = settings(
    max_examples=count_of("RUNS", 5), stateful_step_count=25, deadline=None
)
TestLargeRepricings = LargeRepricings.TestCase
TestLargeRepricings.settings = settings(
    max_examples=max(1, count_of("RUNS", 25) // 25), stateful_step_count=16, deadline=None
)
