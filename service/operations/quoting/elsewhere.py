"""Requests answered in another process: what it is told, and the bytes that it answers with.

It reads the request by the same functions as are used here, so that the answer is the same to the
byte. What only the database knows was looked up before.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from service.catalog import Catalog
from service.core.job.price_list import PriceList
from service.operations.prices.stored_prices import (
    FoundPrices,
    LookedUp,
    StoredPrices,
    look_up,
)
from service.operations.quoting.comparison import compare_document
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from service.operations.quoting.quote_request import stored_list_named

# Bytes of a request that is read while everybody else waits: a few milliseconds.
SMALL_BYTES: Final = 16 * 1024


@dataclass(frozen=True, slots=True)
class Asked:
    """A request as it was read (service/json_text.py), and what the database has of the price list
    that it names, if it names one that is not in the catalog."""

    document: object
    prices: LookedUp | None

    def stored(self) -> FoundPrices | None:
        """The price list, in place of the database."""
        return None if self.prices is None else FoundPrices(self.prices)


def is_large(size: int) -> bool:
    """Whether a request of so many bytes takes long to read."""
    return size > SMALL_BYTES


def asked(document: object, prices: PriceList | None, catalog: Catalog) -> Asked:
    """What a process is told of a request that was prepared here, by its prices."""
    if prices is None or not prices.id or prices.id in catalog.price_lists:
        return Asked(document, None)
    found = LookedUp(list_id=prices.id, latest=prices.revision, prices=prices)
    return Asked(document, found)


def asked_unread(document: object, stored: StoredPrices | None, catalog: Catalog) -> Asked:
    """What a process is told of a request that nobody read before. Raises StorageError."""
    named = stored_list_named(document, catalog)
    return Asked(document, look_up(stored, catalog, named) if stored and named else None)


def answer_quote(catalog: Catalog, told: Asked) -> bytes:
    """The answer to a quote request. Raises QuoteFaultsError."""
    return encode_answer(quote_document(told.document, catalog, told.stored()))


def answer_comparison(catalog: Catalog, told: Asked) -> bytes:
    """The answer to a comparison. Raises QuoteFaultsError."""
    return encode_answer(compare_document(told.document, catalog, told.stored()))
