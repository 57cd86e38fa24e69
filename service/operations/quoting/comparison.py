"""Compare one quote with other wall systems or sections, and with heights that fit its courses.

Every option is quoted whole, by the same calculation; only figures side by side leave here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import NamedTuple

from service.catalog import Catalog
from service.core import ENGINE_VERSION
from service.core import quote as core
from service.core.built import Built, lay_out_walls
from service.core.cautions.caution import Caution
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.layout.heights import heights_that_fit, raised, with_wall
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet
from service.core.quote import Quote
from service.core.takeoff.uses import unit_counts
from service.faults import pointer
from service.operations.answer_figures import Measure
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.comparison_answer import (
    ComparisonAnswer,
    FaultAnswer,
    Figures,
    FitAnswer,
    HeightsAnswer,
    OptionAnswer,
    SameAnswer,
    WallFigures,
)
from service.operations.quoting.comparison_request import AlternativeRequest, ComparisonRequest
from service.operations.quoting.cost import (
    QuoteSize,
    check_cost,
    comparison_cost,
    in_system,
    size_of,
)
from service.operations.quoting.measures import difference, measure_of, plain
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_named


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedComparison:
    """A comparison that was read: ready to be calculated. `cost_ms` is what that will take of one
    core."""

    request: ComparisonRequest
    catalog: Catalog
    job: Job
    prices: PriceList
    layouts: tuple[WallLayout, ...]
    cost_ms: float

    def answer(self) -> ComparisonAnswer:
        """Calculate, and answer. Raises QuoteFaultsError with what the core finds."""
        request, catalog = self.request, self.catalog
        quote = self._quote()
        base = _Base(quote, rod=request.quote.are_rods())
        walls = range(len(quote.job.walls)) if request.heights_that_fit else ()
        return ComparisonAnswer(
            engine_version=ENGINE_VERSION,
            catalog_version=catalog.version,
            levels_are=request.quote.levels_are,
            currency=quote.prices.currency,
            quote=_option(quote, base),
            alternatives=tuple(
                _alternative(alternative, base, catalog) for alternative in request.alternatives
            ),
            heights_that_fit=tuple(_heights(base, index) for index in walls),
        )

    def _quote(self) -> Quote:
        with within_quote():
            return core.quote(self.job, self.prices, layouts=self.layouts)


def compare_document(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> ComparisonAnswer:
    """The answer to a comparison given as plain objects.

    Raises QuoteFaultsError with every fault of the request, and of the quote compared with.
    """
    return prepare_comparison(document, catalog, stored).answer()


def prepare_comparison(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> PreparedComparison:
    """A comparison given as plain objects, ready to be calculated.

    Raises QuoteFaultsError with every fault of the request, and for one that costs too much.
    """
    request = read_named(ComparisonRequest, document, catalog, stored)
    with within_quote():
        job, prices = to_core(request.quote, catalog, stored)
        layouts = lay_out_walls(job)
    cost_ms = bounded_comparison(request, catalog, job, layouts)
    return PreparedComparison(
        request=request,
        catalog=catalog,
        job=job,
        prices=prices,
        layouts=layouts,
        cost_ms=cost_ms,
    )


def bounded_comparison(
    request: ComparisonRequest, catalog: Catalog, job: Job, layouts: tuple[WallLayout, ...]
) -> float:
    """What comparing takes, in ms. Raises QuoteFaultsError for more than one request may take."""
    size = size_of(job, layouts, priced=False)
    others = (_other_size(size, job, each, catalog) for each in request.alternatives)
    cost_ms = comparison_cost(size, others, heights=request.heights_that_fit)
    hint = "fewer alternatives, or fewer or simpler walls at a time"
    check_cost(cost_ms, "comparison-too-large", ("quote", "walls"), hint)
    return cost_ms


def _other_size(
    size: QuoteSize, job: Job, alternative: AlternativeRequest, catalog: Catalog
) -> QuoteSize:
    """The size of the same walls in another system, of more courses where its units are lower."""
    if not alternative.wall_system:
        return size
    system = catalog.wall_systems[alternative.wall_system].core
    return in_system(size, job.system.standard.height_m / system.standard.height_m)


class _Base(NamedTuple):
    """The quote compared with, and whether levels are rod readings."""

    quote: Quote
    rod: bool

    def quote_other(self, job: Job) -> Quote:
        """The same job with other walls, at the same prices and on the same ground."""
        return core.quote(job, self.quote.prices, ground=self.quote.ground)


def built_top(layout: WallLayout, units: UnitSet, *, rod: bool) -> Measure:
    """Where the highest top of a wall is built, in the sense of the request's levels."""
    level = -layout.built_top_m if rod else layout.built_top_m
    return measure_of(level, "length", units)


@contextmanager
def within_quote() -> Iterator[None]:
    """Faults that are found have the place of the quote in the comparison."""
    try:
        yield
    except QuoteFaultsError as error:
        faults = (replace(fault, at=("quote", *fault.at)) for fault in error.faults)
        raise QuoteFaultsError(faults) from None


def other_job(job: Job, alternative: AlternativeRequest, catalog: Catalog) -> Job:
    """The job in another system, with another section, or both."""
    if alternative.wall_system:
        job = replace(job, system=catalog.wall_systems[alternative.wall_system].core)
    if alternative.section:
        job = replace(job, section=catalog.sections[alternative.section].core)
    return job


def _alternative(alternative: AlternativeRequest, base: _Base, catalog: Catalog) -> OptionAnswer:
    job = other_job(base.quote.job, alternative, catalog)
    try:
        return _option(base.quote_other(job), base)
    except QuoteFaultsError as error:
        return OptionAnswer(
            wall_system=job.system.id,
            section=job.section.id,
            figures=None,
            faults=tuple(map(fault_answer, error.faults)),
        )


def fault_answer(fault: Fault) -> FaultAnswer:
    """A fault that stands against an option."""
    return FaultAnswer(
        pointer=pointer(fault.at), message=fault.message, code=fault.code, hint=fault.hint
    )


def _option(quote: Quote, base: _Base) -> OptionAnswer:
    return OptionAnswer(
        wall_system=quote.job.system.id,
        section=quote.job.section.id,
        figures=_figures(quote, base),
        faults=(),
    )


def _figures(quote: Quote, base: _Base) -> Figures:
    units, price, labor = quote.job.units, quote.price, quote.labor
    here, there = caution_codes(quote.cautions.given), caution_codes(base.quote.cautions.given)
    return Figures(
        walls=tuple(wall_figures(layout, units, rod=base.rod) for layout in quote.layouts),
        face_area=measure_of(sum(wall.face_area_m2 for wall in quote.layouts), "area", units),
        delivered_mass=measure_of(quote.quantities.delivered_kg, "mass", units),
        labor_hours=plain(labor.labor_hours) if labor else None,
        crew_days=plain(labor.crew_days) if labor else None,
        direct_cost=plain(price.direct_cost),
        subtotal=plain(price.subtotal),
        total=plain(price.total),
        difference=difference(price.total, base.quote.price.total),
        margin=None if price.margin is None else plain(price.margin),
        complete=not quote.not_priced,
        cautions=here,
        cautions_gained=not_among(here, there),
        cautions_lost=not_among(there, here),
    )


def caution_codes(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """Codes in the order of the cautions, with the wall's name for each wall they are about."""
    return tuple(
        f"{caution.code}: {wall}" if wall else caution.code
        for caution in cautions
        for wall in caution.walls or ("",)
    )


def not_among(codes: Collection[str], others: Collection[str]) -> tuple[str, ...]:
    """Codes that others haven't."""
    return tuple(code for code in codes if code not in others)


def wall_figures(layout: WallLayout, units: UnitSet, *, rod: bool) -> WallFigures:
    """One wall of an option; `rod`: levels are rod readings."""
    standard, corner, cap = unit_counts(layout)
    return WallFigures(
        wall=layout.name,
        courses=len(layout.courses),
        most_courses=layout.most_courses,
        max_exposed_height=measure_of(layout.max_exposed_m, "length", units),
        max_wall_height=measure_of(layout.max_wall_height_m, "length", units),
        built_top=built_top(layout, units, rod=rod),
        standard_units=standard,
        corner_units=corner,
        cap_units=cap,
    )


def _heights(base: _Base, index: int) -> HeightsAnswer:
    fits = heights_that_fit(base.quote.job, index)
    layout, units = base.quote.layouts[index], base.quote.job.units
    return HeightsAnswer(
        wall=layout.name,
        courses=len(layout.courses),
        most_courses=layout.most_courses,
        max_exposed_height=measure_of(layout.max_exposed_m, "length", units),
        passes=wall_passes(base.quote, layout.name),
        below=_fit(base, index, fits.below_m),
        above=_fit(base, index, fits.above_m),
        same=SameAnswer(least=_fit(base, index, fits.least_m), most=_fit(base, index, fits.most_m)),
    )


def _fit(base: _Base, index: int, change_m: float | None) -> FitAnswer | None:
    if change_m is None:
        return None
    before = base.quote.job
    job = with_wall(before, index, raised(before.walls[index], change_m))
    try:
        quote = base.quote_other(job)
    except QuoteFaultsError:  # such as a price that only the higher wall needs
        return None
    layout, units = quote.layouts[index], job.units
    return FitAnswer(
        change=measure_of(change_m, "length", units),
        courses=len(layout.courses),
        most_courses=layout.most_courses,
        max_exposed_height=measure_of(layout.max_exposed_m, "length", units),
        built_top=built_top(layout, units, rod=base.rod),
        max_wall_height=measure_of(layout.max_wall_height_m, "length", units),
        passes=wall_passes(quote, layout.name),
        figures=_figures(quote, base),
    )


def wall_passes(quote: Built, wall: str) -> bool | None:
    """Whether no check of a wall fails; None where none could be made."""
    checks = quote.screening.checks(reinforced=quote.reinforced)
    made = [check for check in checks if check.wall == wall and check.status != "not_checked"]
    return not any(check.status == "fail" for check in made) if made else None
