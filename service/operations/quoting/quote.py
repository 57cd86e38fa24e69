"""Quote a request: read it, look up what it names, calculate, answer. Nothing is stored."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date
from types import MappingProxyType

from service.catalog import Catalog, RatesBody, TermsBody
from service.core import quote as core
from service.core.built import lay_out_walls
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.fact import Assumption
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.job.rates import Rates
from service.core.job.spec import WallSpec
from service.core.job.terms import Terms
from service.core.layout.layout import WallLayout
from service.core.measure import UNIT_SETS
from service.core.would_pass.alternative import WouldPass
from service.core.would_pass.would_pass import would_pass
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.brought import bring_in
from service.operations.quoting.cost import (
    MOST_MS,
    QuoteSize,
    calculation_cost,
    check_cost,
    search_cost,
    size_of,
    what_if_cost,
)
from service.operations.quoting.defaults import request_assumptions
from service.operations.quoting.grading_request import default_area_name
from service.operations.quoting.ground_named import soils_of, topsoil_of
from service.operations.quoting.named import check_names, split_conditions, split_machines
from service.operations.quoting.prices_request import prices_to_core
from service.operations.quoting.quote_answer import from_core
from service.operations.quoting.quote_request import (
    QuoteRequest,
    extras_to_core,
    read_request,
)
from service.operations.quoting.rates_request import RatesWithOverrides, RatesWithWaiting
from service.operations.quoting.what_if.variants import WHAT_IF
from service.operations.quoting.what_if.worth import Asked, asked_of, assumption_answers
from service.operations.quoting.would_pass_answer import offered_by

_FEWER = "fewer or simpler walls at a time, more of them stated, or the quote without what_if"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quoted:
    """A request that was quoted: what the core found, and the answer it became."""

    quote: core.Quote
    answer: QuoteAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedQuote:
    """A request that was read, with everything it names: ready to be calculated. `cost_ms` is
    what that will take of one core at most; `searched`: what would pass is looked for where a
    check fails."""

    request: QuoteRequest
    catalog: Catalog
    job: Job
    prices: PriceList
    layouts: tuple[WallLayout, ...]
    cost_ms: float
    searched: bool
    asked: Asked[core.Quote] | None = None

    def run(self) -> Quoted:
        """Calculate. Raises QuoteFaultsError with what the core finds."""
        quote = self.quote()
        found = self._search(quote) if self.searched else None
        assumptions = assumption_answers(quote, self.asked)
        answer = from_core(quote, self.request, self.catalog.version, assumptions, found)
        return Quoted(quote=quote, answer=answer)

    def quote(self, like: core.Quote | None = None) -> core.Quote:
        """What the core finds; ground as in a quote that is like it isn't measured or dug again.
        Raises QuoteFaultsError with what is found."""
        job = self.job
        ground = like.ground.of(job) if like else None
        return core.quote(job, self.prices, layouts=self.layouts, ground=ground)

    def _search(self, quote: core.Quote) -> WouldPass | None:
        return would_pass(quote, offered_by(self.catalog), priced=self.request.what_if)

    def answer(self) -> QuoteAnswer:
        """Calculate, and answer. Raises QuoteFaultsError with what the core finds."""
        return self.run().answer


def quote_document(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> QuoteAnswer:
    """The answer to a request given as plain objects (service/json_text.py).

    Price lists are those of the catalog and, where they are given, the `stored` ones. Raises
    QuoteFaultsError with every fault of one pass.
    """
    return prepare_document(document, catalog, stored).answer()


def prepare_document(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> PreparedQuote:
    """A request given as plain objects, ready to be calculated.

    Raises QuoteFaultsError with every fault of one pass, and for one that costs too much.
    """
    request = read_request(document, catalog, stored)

    def quoted(changed: object, like: core.Quote) -> core.Quote:
        return prepare_document(changed, catalog, stored).quote(like)

    asked = asked_of(document, request, catalog, quoted)
    return prepare_quote(request, catalog, stored, asked)


def prepare_quote(
    request: QuoteRequest,
    catalog: Catalog,
    stored: StoredPrices | None = None,
    asked: Asked[core.Quote] | None = None,
) -> PreparedQuote:
    """A request that was read, ready to be calculated; `asked`: what each assumption is worth.

    Raises QuoteFaultsError for walls that can't be laid out, and for a request that costs too much.
    """
    job, prices = to_core(request, catalog, stored)
    layouts = lay_out_walls(job)
    size = size_of(job, layouts, priced=request.what_if)
    cost, searched = bounded_cost(size, len(asked.variants) if asked else 0)
    return PreparedQuote(
        request=request,
        catalog=catalog,
        job=job,
        prices=prices,
        layouts=layouts,
        cost_ms=cost,
        searched=searched,
        asked=asked,
    )


def bounded_cost(size: QuoteSize, variants: int) -> tuple[float, bool]:
    """What quoting takes with so many other values, in ms, and whether there is room in it to
    search for what would pass. Raises QuoteFaultsError for more than one request may take."""
    cost, search = calculation_cost(size), search_cost(size)
    hint = "fewer walls, profile entries or survey points, or the walls in several requests"
    check_cost(cost, "quote-too-large", ("walls",), hint)
    if variants:
        cost += what_if_cost(size, variants)
        check_cost(cost, "what-if-too-large", (WHAT_IF,), _FEWER)
    searched = cost + search <= MOST_MS
    return (cost + search if searched else cost), searched


def quote_request(
    request: QuoteRequest, catalog: Catalog, stored: StoredPrices | None = None
) -> Quoted:
    """A request that was read, quoted. Raises QuoteFaultsError with what is found."""
    return prepare_quote(request, catalog, stored).run()


def to_core(
    request: QuoteRequest, catalog: Catalog, stored: StoredPrices | None = None
) -> tuple[Job, PriceList]:
    """A request with everything it names looked up, and its prices.

    Raises QuoteFaultsError for a revision of a price list that isn't there.
    """
    prices = prices_to_core(request.prices, catalog, stored)
    return to_job(request, catalog, prices), prices


def to_job(request: QuoteRequest, catalog: Catalog, prices: PriceList | None) -> Job:
    """A request with everything it names looked up; `prices` are those it is quoted with, if any
    are. Raises QuoteFaultsError for names that nobody knows."""
    _check_conditions(request)
    rates, rod = _rates(request, catalog), request.are_rods()
    terms, terms_keys = _terms(request, catalog)
    check_names(request, catalog, (rates, terms, prices))
    conditions, idle = split_conditions(request.conditions, rates)
    machines_off, idle_machines = split_machines(request.machines_off, rates)
    water = request.water.to_core(rod=rod) if request.water else None
    site = request.site.to_core() if request.site else None
    brought = bring_in(request, catalog, terms, (water, site))
    return replace(
        _asked(request, catalog, rod=rod),
        rates=rates,
        conditions=MappingProxyType(conditions),
        machines_off=machines_off,
        terms=terms,
        extras=(*extras_to_core(request.extras), *brought.sums),
        prices_not_effective=_not_effective(request.issued_on, prices),
        truck=next(iter(rates.trucks.values()), None) if rates else None,  # the first carries soil
        site_work=(*(entry.to_core(catalog) for entry in request.site_work), *brought.work),
        water=water,
        site=site,
        brought=brought.facts,
        run_priced=brought.run_priced,
        assumptions=(
            *request_assumptions(request, terms_keys),
            *_own_hours(request, catalog),
            *idle,
            *idle_machines,
        ),
    )


def _asked(request: QuoteRequest, catalog: Catalog, *, rod: bool) -> Job:
    """What the request says by itself: walls, ground and the entries it names; no rates, terms
    and prices yet."""
    return Job(
        units=UNIT_SETS[request.units],
        walls=_walls(request, catalog, rod=rod),
        system=catalog.wall_systems[request.wall_system].core,
        section=catalog.sections[request.section].core,
        materials=MappingProxyType({item: e.core for item, e in catalog.materials.items()}),
        jurisdiction=catalog.jurisdictions[request.jurisdiction].core,
        basis=catalog.screening_bases[request.screening.basis].core,
        reinforcing=request.screening.reinforcement,
        soils=soils_of(request, catalog),
        materials_only=request.materials_only,
        access=request.access.to_core() if request.access else None,
        engineering=request.engineering.to_core() if request.engineering else None,
        topsoil=topsoil_of(request),
        grading=tuple(
            area.to_core(area.name or default_area_name(i), rod=rod)
            for i, area in enumerate(request.grading)
        ),
        excluded=tuple(dict.fromkeys(request.excluded)),
        tiers=tuple(tier.to_core() for tier in request.tiers),
        issued_month=request.issued_on.month if request.issued_on else None,
    )


def _walls(request: QuoteRequest, catalog: Catalog, *, rod: bool) -> tuple[WallSpec, ...]:
    named = zip(request.wall_names(), request.walls, strict=True)
    return tuple(wall.to_core(name, catalog, rod=rod) for name, wall in named)


def _check_conditions(request: QuoteRequest) -> None:
    if request.conditions and request.rates is None:
        message = "conditions are factors of production rates, and no rates are named"
        fault = Fault(code="conditions-without-rates", at=("conditions",), message=message)
        raise QuoteFaultsError([fault])


def _rates(request: QuoteRequest, catalog: Catalog) -> Rates | None:
    if request.rates is None or request.materials_only:
        return None
    if isinstance(request.rates, RatesBody):
        return request.rates.to_core()
    if isinstance(request.rates, RatesWithWaiting):
        return request.rates.to_core(catalog)
    return catalog.production_rates[request.rates].core


def _own_hours(request: QuoteRequest, catalog: Catalog) -> Iterator[Assumption]:
    """Own figures that take the place of those of the rates, where labor is quoted."""
    if isinstance(request.rates, RatesWithOverrides) and not request.materials_only:
        yield from request.rates.assumptions(catalog)


def _terms(request: QuoteRequest, catalog: Catalog) -> tuple[Terms | None, Collection[str] | None]:
    """The terms, and the keys they give (`tax/base` among them where the tax states its base)."""
    if request.terms is None:
        return None, None
    if isinstance(request.terms, TermsBody):
        tax = request.terms.tax.model_fields_set if request.terms.tax else ()
        return request.terms.to_core(), [
            *request.terms.model_fields_set,
            *(f"tax/{key}" for key in tax),
        ]
    entry = catalog.terms[request.terms]
    keys = [*entry.document, *(f"tax/{key}" for key in entry.document.get("tax", ()))]
    return entry.core, keys


def _not_effective(issued_on: date | None, prices: PriceList | None) -> bool:
    """The quote is dated before the day from which its price list holds."""
    if issued_on is None or prices is None or prices.effective_from is None:
        return False
    return issued_on < prices.effective_from
