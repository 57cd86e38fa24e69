"""What is told of a saved quote that changed: its id, revision, state and addresses, and nothing
of what stands in it."""

from __future__ import annotations

from typing import Final, Literal

from service.core.quote_state import Move, State
from service.storage import Connection
from service.storage.events import EventType, NewEvent, record_all
from service.storage.saved_quotes import SavedQuote

# What of a quote changed, beside its state.
Part = Literal["revision", "customer", "metadata", "notes", "actuals"]
_QUOTES: Final = "/v1/saved-quotes"


def tell_saved(connection: Connection, quote_id: str, now: int) -> None:
    """Tell that a quote was kept: its first revision, a draft."""
    told = _event("quote.saved", quote_id, 1, "draft")
    record_all(connection, [told], now)


def tell_changed(
    connection: Connection, quote_id: str, revision: int, state: State, part: Part, now: int
) -> None:
    """Tell that a part of a quote, or what stands beside it, is another; `revision` is the one
    that it is about, and its state."""
    told = _event("quote.changed", quote_id, revision, state, changed=part)
    record_all(connection, [told], now)


def tell_beside(connection: Connection, quote: SavedQuote, part: Part, now: int) -> None:
    """The same for what stands beside the quote as a whole."""
    tell_changed(connection, quote.id, quote.current.number, quote.current.state, part, now)


def tell_erased(connection: Connection, quote: SavedQuote, now: int) -> None:
    """Tell that the customer of a quote was erased."""
    current = quote.current
    told = _event("customer.erased", quote.id, current.number, current.state)
    record_all(connection, [told], now)


def moved_event(quote_id: str, moved: Move) -> NewEvent:
    """That a revision came into another state. Those that follow it, such as an older one that is
    superseded, are told with it: the quote's state has them all."""
    number = moved.number
    return _event("quote.state_changed", quote_id, number, moved.after, before=moved.before)


def revision_links(quote_id: str, revision: int) -> dict[str, str]:
    """Where a quote and one of its revisions are read."""
    place = f"{_QUOTES}/{quote_id}"
    return {"quote": place, "revision": f"{place}/revisions/{revision}"}


def _event(
    type_: EventType, quote_id: str, revision: int, state: State, **more: object
) -> NewEvent:
    links = revision_links(quote_id, revision)
    data = {"quote": quote_id, "revision": revision, "state": state, "links": links, **more}
    return NewEvent(type=type_, subject=quote_id, data=data)
