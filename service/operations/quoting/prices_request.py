"""The prices of a quote request: a list by id and revision, or the costs themselves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag
from pydantic_core import PydanticCustomError

from service.catalog import Catalog, CurrencyCode, ItemPriceBody, PriceListBody
from service.catalog.documents.price_list import Revision
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.price_list import PriceList
from service.fields import Id, StrictModel, TableOf, refused
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.known_ids import PriceListId
from service.operations.ruled import RuledModel

MOST_INLINE_ITEMS = 2000


class NamedPricesRequest(StrictModel):
    """A price list by id and revision."""

    price_list: PriceListId | None = None
    revision: Annotated[
        Annotated[Revision, Tag("number")] | Annotated[Literal["latest"], Tag("text")],
        Discriminator(lambda value: "text" if isinstance(value, str) else "number"),
    ] = "latest"


class PricesRequest(NamedPricesRequest, RuledModel):
    """A price list by id and revision, or the costs themselves; and what is changed for once."""

    currency: CurrencyCode | None = None
    items: TableOf[Id, ItemPriceBody] | None = Field(None, max_length=MOST_INLINE_ITEMS)
    overrides: TableOf[Id, ItemPriceBody] = Field(
        default_factory=dict, max_length=MOST_INLINE_ITEMS
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Costs come from one place, and inline ones say their currency."""
        inline = "items" in document
        if inline == ("price_list" in document):
            message = "prices needs either a price_list or items, and not both"
            yield refused("prices-unclear", message, 'such as "price_list": "demo_2026"')
        elif inline and "currency" not in document:
            message = "inline items need their currency"
            yield refused("field-missing", message, 'such as "USD"', at=("currency",))
        elif not inline and "currency" in document:
            message = "the price list brings its own currency"
            yield refused("prices-unclear", message, "leave currency out", at=("currency",))


def prices_to_core(
    request: PricesRequest, catalog: Catalog, stored: StoredPrices | None = None
) -> PriceList:
    """The price list of a request, overrides included.

    Raises QuoteFaultsError (`unknown-revision`) for a revision that the list doesn't have.
    """
    overrides = {item: price.to_core() for item, price in request.overrides.items()}
    if request.items is not None:
        prices = PriceListBody(currency=request.currency or "", items=request.items).to_core()
    else:
        prices = named_prices(request, catalog, stored)
    return replace(prices, overrides=MappingProxyType(overrides))


def named_prices(
    request: NamedPricesRequest, catalog: Catalog, stored: StoredPrices | None
) -> PriceList:
    """The price list that a request names. Raises QuoteFaultsError (`unknown-revision`)."""
    list_id = request.price_list or ""
    if list_id in catalog.price_lists:
        prices = catalog.price_lists[list_id].core
        if request.revision not in ("latest", prices.revision):
            raise _unknown_revision(request, f"revision {prices.revision}, or latest")
        return prices
    latest = stored.latest(list_id) if stored else None
    number = latest if isinstance(request.revision, str) else request.revision
    found = stored.find(list_id, number) if stored and number else None
    if found is None:
        raise _unknown_revision(request, f"revision 1 to {latest}, or latest")
    return found


def _unknown_revision(request: NamedPricesRequest, hint: str) -> QuoteFaultsError:
    message = f"price list {request.price_list} has no revision {request.revision}"
    at = ("prices", "revision")
    return QuoteFaultsError([Fault(code="unknown-revision", at=at, message=message, hint=hint)])
