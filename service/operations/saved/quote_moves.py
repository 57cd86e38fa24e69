"""Bring a saved quote into a state: what is asked, what is checked, what is kept with it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.core.quote_state import Move, State, move
from service.operations.conditions import Conditions
from service.operations.prices.known_prices import known_prices
from service.operations.saved.dated_answer import valid_until
from service.operations.saved.quote_events import moved_event
from service.operations.saved.repriced_revision import issue_repriced
from service.operations.saved.saved_quote import known_quote, read_revision
from service.operations.saved.saved_quote_answer import quote_tag
from service.operations.saved.settled_engineering import check_settled
from service.operations.saved.state_answer import StateAnswer, state_answer
from service.operations.saved.waiting_answers import make_answer
from service.storage import Connection
from service.storage.acceptances import find_acceptances
from service.storage.days import day_of
from service.storage.events import record_all
from service.storage.kept_pricing import unpack_inputs
from service.storage.quote_moves import MoveWords, find_moves
from service.storage.quote_rows import RevisionFacts, RevisionHead, SavedRevision
from service.storage.saved_quotes import SavedQuote, change_states, put_content, put_issue


class QuoteExpiredError(QuoteRefusedError):
    """The price held until an earlier day."""

    code = "quote-expired"

    def __init__(self, number: int, held_until: date, day: date, remedy: str) -> None:
        super().__init__(
            f"Revision {number} held until {held_until.isoformat()}, and this is "
            f"{day.isoformat()}. {remedy}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The state that is asked for, and what is said of it."""

    target: State
    words: MoveWords


def move_quote(
    connection: Connection,
    quote_id: str,
    wanted: Wanted,
    seen: Conditions,
    now: int,
    catalog: Catalog,
) -> StateAnswer:
    """Bring a quote into a state; `seen` names the tag of the quote that was seen.

    Raises QuoteUnknownError, what `move_known` raises, and what a condition raises.
    """
    quote = known_quote(connection, quote_id, lock=True)
    seen.check(quote_tag(quote))
    moved = move_known(connection, quote, wanted, now, catalog)
    record_all(connection, [moved_event(quote_id, moved)], now)
    return read_state(connection, quote_id)


def move_known(
    connection: Connection, quote: SavedQuote, wanted: Wanted, now: int, catalog: Catalog
) -> Move:
    """Bring a quote that is locked into a state; returns the move that was asked for.

    A quote is issued on a day; a draft that a re-pricing made gets its dates anew. Raises
    StateNotAllowedError, QuoteIncompleteError, AnswerNotMadeError, EngineeringNotSettledError,
    QuoteExpiredError, and QuoteFaultsError where no day is known.
    """
    moves = move(quote.revisions, wanted.target)
    number, words = moves[0].number, wanted.words
    if wanted.target == "issued":
        make_answer(connection, (quote.id, number), catalog)
        saved = read_revision(connection, quote.id, str(number))
        check_settled(saved.head.revision, saved.answer)
        day = _day_of_issue(words, saved.head.facts)
        _issue(connection, saved, day, catalog)
        words = replace(words, on=day)
    if wanted.target == "accepted" and not words.after_expiry:
        day = words.on or day_of(connection, now)
        remedy = "Say after_expiry to accept it all the same, or make a revision."
        head = read_revision(connection, quote.id, str(number)).head
        _check_holds(head, head.facts.valid_until, day, remedy)
    change_states(connection, quote, moves, now, words)
    return moves[0]


def read_state(connection: Connection, quote_id: str) -> StateAnswer:
    """The state of a quote, with customers' yeses. Raises QuoteUnknownError."""
    quote, moves = known_quote(connection, quote_id), find_moves(connection, quote_id)
    return state_answer(quote, moves, find_acceptances(connection, quote_id))


def read_unnamed_state(connection: Connection, quote_id: str) -> StateAnswer:
    """The same without yeses, and what was noted at a move. Raises QuoteUnknownError."""
    quote, moves = known_quote(connection, quote_id), find_moves(connection, quote_id)
    bare = (replace(move, words=replace(move.words, note=None, reason=None)) for move in moves)
    return state_answer(quote, tuple(bare), ())


def _day_of_issue(words: MoveWords, facts: RevisionFacts) -> date:
    day = words.on or facts.issued_on
    if day is None:
        message = "a quote is issued on a day, and its request has no issued_on"
        hint = 'the day, such as "on": "2026-05-04"'
        raise QuoteFaultsError(
            [Fault(code="field-missing", at=("on",), message=message, hint=hint)]
        )
    return day


def _issue(connection: Connection, saved: SavedRevision, day: date, catalog: Catalog) -> None:
    """Keep the day of issue, and until when the price holds from then."""
    head, facts = saved.head, saved.head.facts
    if facts.priced_by is not None:
        holds_from = _holds_from(connection, facts, catalog)
        made = issue_repriced(saved, day, _valid_days(saved), holds_from, catalog)
        put_content(connection, head.quote_id, head.revision, made)
        return
    until = facts.valid_until
    if until is None:
        until = valid_until(day, _valid_days(saved))
    remedy = "Make a revision with today's issued_on."
    _check_holds(head, until, day, remedy)
    put_issue(connection, head.quote_id, head.revision, day, until)


def _check_holds(head: RevisionHead, until: date | None, day: date, remedy: str) -> None:
    if until is not None and day > until:
        raise QuoteExpiredError(head.revision, until, day, remedy)


def _valid_days(saved: SavedRevision) -> int | None:
    if saved.pricing is None:
        return None
    terms = unpack_inputs(saved.pricing).terms
    return None if terms is None else terms.valid_days


def _holds_from(connection: Connection, facts: RevisionFacts, catalog: Catalog) -> date | None:
    """The day from which the prices of a revision hold; None where the list is gone."""
    try:
        known = known_prices(connection, catalog, facts.price_list or "", facts.price_list_revision)
    except QuoteFaultsError:
        return None
    return known.prices.effective_from
