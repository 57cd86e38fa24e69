"""Answers of drafts that a large re-pricing kept as what changes: made once, then kept.

An answer is made of the revision that its row names, by the function that re-prices one quote, so
that it is what a small run would have kept at once. It is made when somebody first reads it, when
it is issued, or by the service when nothing else is to be done; from then on it stays byte for
byte, and so does its digest, which there isn't before.

`priced_by` is the engine that made the answer. An engine that comes later makes what one before
it left, under its own name, but only at the very amounts that the run has told: otherwise the
draft stays without an answer, can't be issued, and says that it must be re-priced once more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import TypeVar

from service.catalog import Catalog
from service.core.errors import PriceFaultsError, QuoteRefusedError
from service.operations.saved.repriced_revision import reprice_revision
from service.storage import Connection, Store
from service.storage.quote_rows import AnswersWaitingError, NewRevision, RevisionHead
from service.storage.repricing_prices import find_prices
from service.storage.saved_quotes import find_quote, find_revision, put_content
from service.storage.waiting_drafts import find_head, find_waiting

AT_ONCE = 20
T = TypeVar("T")
Place = tuple[str, int]
FIRST: Place = ("", 0)
_TOLD = ("total", "subtotal", "cost", "margin")


class AnswerNotMadeError(QuoteRefusedError):
    """The answer of a draft can't be made at the amounts that its re-pricing told."""

    code = "answer-not-made"

    def __init__(self, place: Place, why: str) -> None:
        self.place = place
        super().__init__(
            f"The answer of revision {place[1]} of {place[0]} can't be made: {why}. Re-price the "
            "quote once more, or withdraw this draft."
        )


def make_answers(store: Store, places: Sequence[Place], catalog: Catalog) -> None:
    """Make answers that wait and keep them, some in a transaction. Raises AnswerNotMadeError;
    what was made before stays."""
    ordered = sorted(places)
    for first in range(0, len(ordered), AT_ONCE):
        with store.write() as connection:
            for place in ordered[first : first + AT_ONCE]:
                make_answer(connection, place, catalog)


def with_answers(store: Store, catalog: Catalog, operation: Callable[[Store], T]) -> T:
    """What an operation comes to, which is done again, from nothing, after answers that it reads
    have been made. Raises AnswerNotMadeError."""
    while True:
        try:
            return operation(store)
        except AnswersWaitingError as waiting:
            make_answers(store, waiting.places, catalog)


def make_next(store: Store, catalog: Catalog, after: Place = FIRST) -> Place | None:
    """Make the next answers that wait after a place, some in a transaction; returns the last
    place, or None where none waits after it. What can't be made is left."""
    with store.read() as connection:
        places = find_waiting(connection, limit=AT_ONCE, after=after)
    if not places:
        return None
    with store.write() as connection:
        for place in places:
            with suppress(AnswerNotMadeError):
                make_answer(connection, place, catalog)
    return places[-1]


def make_waiting(store: Store, catalog: Catalog) -> None:
    """Make every answer that waits and can be made."""
    after: Place | None = FIRST
    while after is not None:
        after = make_next(store, catalog, after)


def make_answer(connection: Connection, place: Place, catalog: Catalog) -> None:
    """Make the answer of a draft and keep it; one that was made is left as it is. Raises
    AnswerNotMadeError."""
    quote_id, number = place
    find_quote(connection, quote_id, lock=True)
    head = find_head(connection, quote_id, number)
    if head is not None and head.made_from is not None:
        put_content(connection, quote_id, number, _made(connection, head, catalog))


def _made(connection: Connection, head: RevisionHead, catalog: Catalog) -> NewRevision:
    facts, place = head.facts, (head.quote_id, head.revision)
    before = find_revision(connection, head.quote_id, head.made_from or 0)
    if before is None or before.pricing is None:
        raise AnswerNotMadeError(place, "what it is made of is gone")
    prices = find_prices(connection, facts.price_list or "", facts.price_list_revision or 0)
    if prices is None:
        raise AnswerNotMadeError(place, "its prices are gone")
    try:
        made = reprice_revision(before, before.pricing, prices, catalog)
    except PriceFaultsError as error:
        raise AnswerNotMadeError(place, "; ".join(f.message for f in error.faults)) from error
    if any(getattr(made.facts, name) != getattr(facts, name) for name in _TOLD):
        why = f"its total was told as {facts.total:f} and is {made.facts.total:f} now"
        raise AnswerNotMadeError(place, why)
    return made
