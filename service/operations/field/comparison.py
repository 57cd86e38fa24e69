"""Compare for who builds it: the same options and heights as for the office, without a sum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from service.catalog import Catalog
from service.core import ENGINE_VERSION
from service.core import quote as core
from service.core.built import Built, lay_out_walls
from service.core.errors import QuoteFaultsError
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.layout.heights import heights_that_fit, raised, with_wall
from service.core.layout.layout import WallLayout
from service.operations.field.built_answer import heeded
from service.operations.field.comparison_answer import (
    FieldComparisonAnswer,
    FieldFigures,
    FieldFitAnswer,
    FieldHeightsAnswer,
    FieldOptionAnswer,
    FieldSameAnswer,
)
from service.operations.field.quote import to_field_core
from service.operations.field.request import FieldComparisonRequest, read_field_request
from service.operations.field.unpriced import said_without_money, without_money
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.comparison import (
    bounded_comparison,
    built_top,
    caution_codes,
    fault_answer,
    not_among,
    other_job,
    wall_figures,
    wall_passes,
    within_quote,
)
from service.operations.quoting.comparison_request import AlternativeRequest
from service.operations.quoting.measures import measure_of, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedFieldComparison:
    """A comparison of the field that was read: ready to be calculated."""

    request: FieldComparisonRequest
    catalog: Catalog
    job: Job
    prices: PriceList | None
    layouts: tuple[WallLayout, ...]
    cost_ms: float

    def answer(self) -> FieldComparisonAnswer:
        """Calculate, and answer. Raises QuoteFaultsError with what the core finds."""
        request, catalog = self.request, self.catalog
        base = _Base(self._built(), self.prices, rod=request.quote.are_rods())
        walls = range(len(self.job.walls)) if request.heights_that_fit else ()
        return FieldComparisonAnswer(
            engine_version=ENGINE_VERSION,
            catalog_version=catalog.version,
            levels_are=request.quote.levels_are,
            quote=_option(base.built, base),
            alternatives=tuple(
                _alternative(alternative, base, catalog) for alternative in request.alternatives
            ),
            heights_that_fit=tuple(_heights(base, index) for index in walls),
        )

    def _built(self) -> Built:
        with within_quote(), said_without_money():
            return core.planned(self.job, self.prices, layouts=self.layouts)


def field_compare_document(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> FieldComparisonAnswer:
    """The answer to a comparison given as plain objects. Raises QuoteFaultsError."""
    return prepare_field_comparison(document, catalog, stored).answer()


def prepare_field_comparison(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> PreparedFieldComparison:
    """A comparison given as plain objects, ready to be calculated.

    Raises QuoteFaultsError with every fault of the request, and for one that costs too much.
    """
    request = read_field_request(FieldComparisonRequest, document, catalog, stored)
    with within_quote(), said_without_money():
        job, prices = to_field_core(request.quote, catalog, stored)
        layouts = lay_out_walls(job)
    return PreparedFieldComparison(
        request=request,
        catalog=catalog,
        job=job,
        prices=prices,
        layouts=layouts,
        cost_ms=bounded_comparison(request, catalog, job, layouts),
    )


class _Base(NamedTuple):
    """What is compared with, by whose list it is ordered, and whether levels are rod readings."""

    built: Built
    prices: PriceList | None
    rod: bool

    def other(self, job: Job) -> Built:
        """The same job with other walls, on the same ground."""
        return core.planned(job, self.prices, ground=self.built.ground)


def _alternative(
    alternative: AlternativeRequest, base: _Base, catalog: Catalog
) -> FieldOptionAnswer:
    job = other_job(base.built.job, alternative, catalog)
    try:
        return _option(base.other(job), base)
    except QuoteFaultsError as error:
        return FieldOptionAnswer(
            wall_system=job.system.id,
            section=job.section.id,
            figures=None,
            faults=tuple(map(fault_answer, without_money(error))),
        )


def _option(built: Built, base: _Base) -> FieldOptionAnswer:
    return FieldOptionAnswer(
        wall_system=built.job.system.id,
        section=built.job.section.id,
        figures=_figures(built, base),
        faults=(),
    )


def _figures(built: Built, base: _Base) -> FieldFigures:
    units, labor = built.job.units, built.labor
    here, there = caution_codes(heeded(built)), caution_codes(heeded(base.built))
    return FieldFigures(
        walls=tuple(wall_figures(layout, units, rod=base.rod) for layout in built.layouts),
        face_area=measure_of(sum(wall.face_area_m2 for wall in built.layouts), "area", units),
        delivered_mass=measure_of(built.quantities.delivered_kg, "mass", units),
        labor_hours=plain(labor.labor_hours) if labor else None,
        crew_days=plain(labor.crew_days) if labor else None,
        cautions=here,
        cautions_gained=not_among(here, there),
        cautions_lost=not_among(there, here),
    )


def _heights(base: _Base, index: int) -> FieldHeightsAnswer:
    fits = heights_that_fit(base.built.job, index)
    layout, units = base.built.layouts[index], base.built.job.units
    return FieldHeightsAnswer(
        wall=layout.name,
        courses=len(layout.courses),
        most_courses=layout.most_courses,
        max_exposed_height=measure_of(layout.max_exposed_m, "length", units),
        passes=wall_passes(base.built, layout.name),
        below=_fit(base, index, fits.below_m),
        above=_fit(base, index, fits.above_m),
        same=FieldSameAnswer(
            least=_fit(base, index, fits.least_m), most=_fit(base, index, fits.most_m)
        ),
    )


def _fit(base: _Base, index: int, change_m: float | None) -> FieldFitAnswer | None:
    if change_m is None:
        return None
    before = base.built.job
    try:
        built = base.other(with_wall(before, index, raised(before.walls[index], change_m)))
    except QuoteFaultsError:
        return None
    layout, units = built.layouts[index], before.units
    return FieldFitAnswer(
        change=measure_of(change_m, "length", units),
        courses=len(layout.courses),
        most_courses=layout.most_courses,
        max_exposed_height=measure_of(layout.max_exposed_m, "length", units),
        built_top=built_top(layout, units, rod=base.rod),
        max_wall_height=measure_of(layout.max_wall_height_m, "length", units),
        passes=wall_passes(built, layout.name),
        figures=_figures(built, base),
    )
