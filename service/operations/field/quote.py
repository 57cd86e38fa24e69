"""Quote a request for who builds it: read, look up, calculate, answer. Nothing is stored."""

from __future__ import annotations

from dataclasses import dataclass

from service.catalog import Catalog
from service.core import quote as core
from service.core.built import Built, lay_out_walls
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.layout.layout import WallLayout
from service.core.would_pass.would_pass import would_pass_unpriced
from service.operations.field.answer import FieldQuoteAnswer
from service.operations.field.assumptions import field_assumptions
from service.operations.field.built_answer import field_answer
from service.operations.field.request import FieldQuoteRequest, read_field_request
from service.operations.field.unpriced import said_without_money
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.cost import size_of
from service.operations.quoting.prices_request import named_prices
from service.operations.quoting.quote import bounded_cost, to_job
from service.operations.quoting.what_if.worth import Asked, asked_of
from service.operations.quoting.would_pass_answer import offered_by


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltQuote:
    """A request of the field that was calculated, and the answer it became."""

    built: Built
    answer: FieldQuoteAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedFieldQuote:
    """A request of the field that was read, with everything it names: ready to be calculated. As
    `PreparedQuote`; without `prices` nothing is ordered by a list."""

    request: FieldQuoteRequest
    catalog: Catalog
    job: Job
    prices: PriceList | None
    layouts: tuple[WallLayout, ...]
    cost_ms: float
    searched: bool
    asked: Asked[Built] | None = None

    def run(self) -> BuiltQuote:
        """Calculate. Raises QuoteFaultsError with what the core finds, as the field is told."""
        built = self.built()
        found = would_pass_unpriced(built, offered_by(self.catalog)) if self.searched else None
        assumptions = field_assumptions(built, self.asked)
        answer = field_answer(built, self.request, self.catalog.version, assumptions, found)
        return BuiltQuote(built=built, answer=answer)

    def built(self, like: Built | None = None) -> Built:
        """What is to be built; ground as in another isn't measured or dug again. Raises
        QuoteFaultsError."""
        job = self.job
        ground = like.ground.of(job) if like else None
        with said_without_money():
            return core.planned(job, self.prices, layouts=self.layouts, ground=ground)

    def answer(self) -> FieldQuoteAnswer:
        """Calculate, and answer. Raises QuoteFaultsError."""
        return self.run().answer


def prepare_field_document(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> PreparedFieldQuote:
    """A request given as plain objects, ready to be calculated.

    Raises QuoteFaultsError with every fault of one pass, and for one that costs too much.
    """
    request = read_field_request(FieldQuoteRequest, document, catalog, stored)

    def quoted(changed: object, like: Built) -> Built:
        return prepare_field_document(changed, catalog, stored).built(like)

    asked = asked_of(document, request, catalog, quoted)
    with said_without_money():
        job, prices = to_field_core(request, catalog, stored)
        layouts = lay_out_walls(job)
        variants = len(asked.variants) if asked else 0
        cost_ms, searched = bounded_cost(size_of(job, layouts, priced=False), variants)
    return PreparedFieldQuote(
        request=request,
        catalog=catalog,
        job=job,
        prices=prices,
        layouts=layouts,
        cost_ms=cost_ms,
        searched=searched,
        asked=asked,
    )


def to_field_core(
    request: FieldQuoteRequest, catalog: Catalog, stored: StoredPrices | None = None
) -> tuple[Job, PriceList | None]:
    """A request with everything it names looked up, and its price list where it names one.

    Raises QuoteFaultsError for a revision of a price list that isn't there.
    """
    prices = named_prices(request.prices, catalog, stored) if request.prices else None
    return to_job(request, catalog, prices), prices


def field_quote_document(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> FieldQuoteAnswer:
    """The answer to a request given as plain objects. Raises QuoteFaultsError."""
    return prepare_field_document(document, catalog, stored).answer()
