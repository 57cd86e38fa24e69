"""What the field sends: a quote request in which prices are named, if at all, and never stated."""

from __future__ import annotations

from typing import Annotated

from pydantic import Discriminator, Tag

from service.catalog import Catalog, RatesBody
from service.operations.field.unpriced import said_without_money
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.comparison_request import ComparisonRequest
from service.operations.quoting.known_ids import PriceListId, RatesId
from service.operations.quoting.prices_request import NamedPricesRequest
from service.operations.quoting.quote_request import QuoteRequest, read_named
from service.operations.quoting.rates_request import RatesWithWaiting, rates_shape
from service.operations.ruled import M


class FieldPricesRequest(NamedPricesRequest):
    """A price list, by whose units and packs is ordered; no figure of it is answered."""

    price_list: PriceListId


# Own hours in place of single ones would tell, by the machines that are chosen, what work costs.
FieldRates = Annotated[
    Annotated[RatesId, Tag("text")]
    | Annotated[RatesBody, Tag("object")]
    | Annotated[RatesWithWaiting, Tag("overridden")],
    Discriminator(rates_shape),
]


class FieldQuoteRequest(QuoteRequest):
    """A quote request by who sees no money: prices may be left out, costs are not stated."""

    rates: FieldRates | None = None  # type: ignore[assignment]  # both take less
    prices: FieldPricesRequest | None = None  # type: ignore[assignment]


class FieldComparisonRequest(ComparisonRequest):
    """A comparison by who sees no money."""

    quote: FieldQuoteRequest


def read_field_request(
    model: type[M], document: object, catalog: Catalog, stored: StoredPrices | None
) -> M:
    """A request of the field. Raises QuoteFaultsError with every fault of one pass; what it says
    of prices and terms names none but the request's own."""
    with said_without_money():
        return read_named(model, document, catalog, stored)
