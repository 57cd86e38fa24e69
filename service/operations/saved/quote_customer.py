"""Whom a saved quote is for: put, read, erased, apart from what was quoted."""

from __future__ import annotations

from service.core.errors import QuoteRefusedError
from service.operations.conditions import Conditions
from service.operations.saved.customer_request import (
    CustomerAnswer,
    CustomerRequest,
    customer_answer,
    customer_to_core,
)
from service.operations.saved.saved_quote import known_quote
from service.operations.saved.saved_quote_answer import quote_tag
from service.storage import Connection
from service.storage.quote_customers import erase_customer, find_customer, put_customer
from service.storage.saved_quotes import touch_quote


class CustomerMissingError(QuoteRefusedError):
    """Nobody is named as the customer of this quote."""

    code = "customer-missing"

    def __init__(self, quote_id: str) -> None:
        super().__init__(f"The quote {quote_id} names no customer; PUT one, or it was erased.")


def name_customer(
    connection: Connection, quote_id: str, request: CustomerRequest, seen: Conditions, now: int
) -> None:
    """Keep whom a quote is for.

    Raises QuoteUnknownError, and what a condition raises.
    """
    seen.check(quote_tag(known_quote(connection, quote_id, lock=True)))
    put_customer(connection, quote_id, customer_to_core(request), now)
    touch_quote(connection, quote_id, now)


def read_customer(connection: Connection, quote_id: str) -> CustomerAnswer:
    """Whom a quote is for. Raises QuoteUnknownError, CustomerMissingError."""
    known_quote(connection, quote_id)
    kept = find_customer(connection, quote_id)
    if kept is None:
        raise CustomerMissingError(quote_id)
    return customer_answer(kept)


def forget_customer(connection: Connection, quote_id: str, now: int) -> None:
    """Erase whom a quote is for; nothing that a digest covers changes. Raises QuoteUnknownError."""
    known_quote(connection, quote_id, lock=True)
    erase_customer(connection, quote_id)
    touch_quote(connection, quote_id, now)
