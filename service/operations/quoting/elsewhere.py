"""Requests answered in another process: what it is told, and the bytes that it answers with.

It reads the request again, by the same functions, so that the answer is the same to the byte. What
only the database knows was looked up before.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.catalog import Catalog
from service.core.job.price_list import PriceList
from service.operations.prices.stored_prices import FoundPrices
from service.operations.quoting.comparison import compare_document
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer


@dataclass(frozen=True, slots=True)
class Asked:
    """A request as it was read (service/json_text.py), and the price list of the database that it
    names, if it names one."""

    document: object
    prices: PriceList | None

    def stored(self) -> FoundPrices | None:
        """The price list, in place of the database."""
        return None if self.prices is None else FoundPrices(self.prices)


def asked(document: object, prices: PriceList | None, catalog: Catalog) -> Asked:
    """What a process is told of a request that was prepared here, by its prices."""
    is_stored = prices and prices.id and prices.id not in catalog.price_lists
    return Asked(document, prices if is_stored else None)


def answer_quote(catalog: Catalog, told: Asked) -> bytes:
    """The answer to a quote request. Raises QuoteFaultsError."""
    return encode_answer(quote_document(told.document, catalog, told.stored()))


def answer_comparison(catalog: Catalog, told: Asked) -> bytes:
    """The answer to a comparison. Raises QuoteFaultsError."""
    return encode_answer(compare_document(told.document, catalog, told.stored()))
