"""What stands beside a saved quote, apart from what was quoted: whom it is for, metadata, notes."""

from __future__ import annotations

from msgspec import UNSET

from service.core.errors import QuoteRefusedError
from service.operations.conditions import Conditions
from service.operations.saved.customer_request import (
    CustomerAnswer,
    CustomerRequest,
    customer_answer,
    customer_to_core,
)
from service.operations.saved.quote_events import Part, tell_beside
from service.operations.saved.saved_quote import known_quote
from service.operations.saved.saved_quote_answer import MetadataAnswer, NotesAnswer, quote_tag
from service.operations.saved.saved_quote_request import MetadataRequest, NotesRequest
from service.storage import Connection
from service.storage.quote_customers import find_customer, put_customer
from service.storage.quote_metadata import find_metadata, put_metadata
from service.storage.saved_quotes import SavedQuote, put_notes, touch_quote


class CustomerMissingError(QuoteRefusedError):
    """Nobody is named as the customer of this quote."""

    code = "customer-missing"

    def __init__(self, quote_id: str) -> None:
        super().__init__(f"The quote {quote_id} names no customer; PUT one, or it was erased.")


def name_customer(
    connection: Connection, quote_id: str, request: CustomerRequest, seen: Conditions, now: int
) -> None:
    """Keep whom a quote is for; what is said already is left as it is.

    Raises QuoteUnknownError, and what a condition raises.
    """
    quote, customer = _seen(connection, quote_id, seen), customer_to_core(request)
    if find_customer(connection, quote_id) != customer.document:
        put_customer(connection, quote_id, customer, now)
        _changed(connection, quote, "customer", now)


def replace_metadata(
    connection: Connection, quote_id: str, request: MetadataRequest, seen: Conditions, now: int
) -> MetadataAnswer:
    """Keep the metadata of a quote, likewise. Raises QuoteUnknownError, and what a condition
    raises."""
    quote = _seen(connection, quote_id, seen)
    if find_metadata(connection, [quote_id]).get(quote_id, {}) != request.metadata:
        put_metadata(connection, quote_id, request.metadata)
        _changed(connection, quote, "metadata", now)
    return read_metadata(connection, quote_id)


def read_metadata(connection: Connection, quote_id: str) -> MetadataAnswer:
    """The metadata of a quote. Raises QuoteUnknownError."""
    known_quote(connection, quote_id)
    return MetadataAnswer(metadata=find_metadata(connection, [quote_id]).get(quote_id, {}))


def replace_notes(
    connection: Connection, quote_id: str, request: NotesRequest, seen: Conditions, now: int
) -> NotesAnswer:
    """Keep the notes of a quote, likewise. Raises QuoteUnknownError, and what a condition
    raises."""
    quote = _seen(connection, quote_id, seen)
    if quote.notes != request.notes:
        put_notes(connection, quote_id, request.notes)
        _changed(connection, quote, "notes", now)
    return read_notes(connection, quote_id)


def read_notes(connection: Connection, quote_id: str) -> NotesAnswer:
    """The notes of a quote. Raises QuoteUnknownError."""
    return NotesAnswer(notes=known_quote(connection, quote_id).notes or UNSET)


def read_customer(connection: Connection, quote_id: str) -> CustomerAnswer:
    """Whom a quote is for. Raises QuoteUnknownError, CustomerMissingError."""
    known_quote(connection, quote_id)
    kept = find_customer(connection, quote_id)
    if kept is None:
        raise CustomerMissingError(quote_id)
    return customer_answer(kept)


def _seen(connection: Connection, quote_id: str, seen: Conditions) -> SavedQuote:
    """A quote that is held, as the caller saw it."""
    quote = known_quote(connection, quote_id, lock=True)
    seen.check(quote_tag(quote))
    return quote


def _changed(connection: Connection, quote: SavedQuote, part: Part, now: int) -> None:
    touch_quote(connection, quote.id, now)
    tell_beside(connection, quote, part, now)
