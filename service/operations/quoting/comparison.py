"""Compare one quote with other wall systems or sections, and with heights that fit its courses.

Every option is quoted whole, by the same calculation; only figures side by side leave here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any, NamedTuple

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.core import ENGINE_VERSION
from service.core import quote as core
from service.core.errors import Fault, QuoteFaultsError
from service.core.layout.heights import heights_that_fit, raised, with_wall
from service.core.layout.layout import WallLayout
from service.core.quote import Quote
from service.core.takeoff.uses import unit_counts
from service.faults import pointer
from service.fields import refused
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
from service.operations.quoting.known_ids import SectionId, WallSystemId
from service.operations.quoting.measures import measure_of, plain
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import QuoteRequest, read_named
from service.operations.ruled import RuledModel

MOST_ALTERNATIVES = 10
# Each height is found by some seventy layouts of the wall.
MOST_HEIGHT_WALLS = 10
MOST_HEIGHT_ENTRIES = 100
# In layouts of a wall, whose work is its size: what finding two heights takes, and the most that
# one comparison may.
LAYOUTS_PER_HEIGHT = 30
MOST_WORK = 60_000


class AlternativeRequest(RuledModel):
    """Another wall system, another section, or both."""

    wall_system: WallSystemId | None = None
    section: SectionId | None = None

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """An alternative differs."""
        if not {"wall_system", "section"} & document.keys():
            yield refused("alternative-empty", "an alternative needs a wall_system or a section")


class ComparisonRequest(RuledModel):
    """A quote request, what to hold against it, and whether to look for heights that fit."""

    quote: QuoteRequest
    alternatives: tuple[AlternativeRequest, ...] = Field(
        (), strict=False, max_length=MOST_ALTERNATIVES
    )
    heights_that_fit: bool = False

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """There is something to compare, and looking for heights stays bounded."""
        if not document.get("alternatives") and not document.get("heights_that_fit"):
            message = "nothing is compared: no alternatives, and heights_that_fit is not asked for"
            yield refused("comparison-empty", message, 'such as "heights_that_fit": true')
        if document.get("heights_that_fit"):
            yield from _heights_bounded(document.get("quote"))


def _heights_bounded(quote: object) -> Iterator[PydanticCustomError]:
    walls = quote.get("walls") if isinstance(quote, Mapping) else None
    if not isinstance(walls, list):
        return
    profiles = [wall.get("profile") for wall in walls if isinstance(wall, Mapping)]
    longest = max((len(p) for p in profiles if isinstance(p, list)), default=0)
    if len(walls) > MOST_HEIGHT_WALLS or longest > MOST_HEIGHT_ENTRIES:
        message = (
            f"heights_that_fit takes at most {MOST_HEIGHT_WALLS} walls "
            f"of {MOST_HEIGHT_ENTRIES} profile entries"
        )
        yield refused("comparison-too-large", message, at=("heights_that_fit",))


def compare_document(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> ComparisonAnswer:
    """The answer to a comparison given as plain objects.

    Raises QuoteFaultsError with every fault of the request, and of the quote compared with.
    """
    request = read_named(ComparisonRequest, document, catalog, stored)
    quote = _quote(request.quote, catalog, stored)
    _check_size(request, quote)
    base = _Base(quote, rod=request.quote.are_rods())
    return ComparisonAnswer(
        engine_version=ENGINE_VERSION,
        catalog_version=catalog.version,
        levels_are=request.quote.levels_are,
        currency=quote.prices.currency,
        quote=_option(quote, base),
        alternatives=tuple(
            _alternative(alternative, base, catalog) for alternative in request.alternatives
        ),
        heights_that_fit=tuple(
            _heights(base, index)
            for index in range(len(quote.job.walls))
            if request.heights_that_fit
        ),
    )


class _Base(NamedTuple):
    """The quote compared with, and whether levels are rod readings."""

    quote: Quote
    rod: bool

    def built_top(self, layout: WallLayout) -> Measure:
        """Where the highest top of a wall is built, in the sense of the request's levels."""
        level = -layout.built_top_m if self.rod else layout.built_top_m
        return measure_of(level, "length", self.quote.job.units)


def _quote(request: QuoteRequest, catalog: Catalog, stored: StoredPrices | None) -> Quote:
    try:
        return core.quote(*to_core(request, catalog, stored))
    except QuoteFaultsError as error:
        raise _within_quote(error) from None


def _check_size(request: ComparisonRequest, quote: Quote) -> None:
    """Refuse a comparison that would take too long: every option is a quote of its own."""
    size = sum(layout.size for layout in quote.layouts)
    work = size * len(request.alternatives)
    if request.heights_that_fit:
        work += size * (LAYOUTS_PER_HEIGHT + 4 * len(quote.layouts))
    if work > MOST_WORK:
        message = f"the walls and what they are compared with come to {work}, over {MOST_WORK}"
        hint = "fewer alternatives, or fewer or simpler walls at a time"
        fault = Fault(
            code="comparison-too-large", at=("quote", "walls"), message=message, hint=hint
        )
        raise QuoteFaultsError([fault])


def _within_quote(error: QuoteFaultsError) -> QuoteFaultsError:
    """The faults with the place of the quote in the comparison."""
    return QuoteFaultsError(replace(fault, at=("quote", *fault.at)) for fault in error.faults)


def _alternative(alternative: AlternativeRequest, base: _Base, catalog: Catalog) -> OptionAnswer:
    job = base.quote.job
    if alternative.wall_system:
        job = replace(job, system=catalog.wall_systems[alternative.wall_system].core)
    if alternative.section:
        job = replace(job, section=catalog.sections[alternative.section].core)
    try:
        return _option(core.quote(job, base.quote.prices), base)
    except QuoteFaultsError as error:
        return OptionAnswer(
            wall_system=job.system.id,
            section=job.section.id,
            figures=None,
            faults=tuple(map(_fault, error.faults)),
        )


def _fault(fault: Fault) -> FaultAnswer:
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
    here, there = _caution_codes(quote), _caution_codes(base.quote)
    return Figures(
        walls=tuple(_wall(layout, base) for layout in quote.layouts),
        face_area=measure_of(sum(wall.face_area_m2 for wall in quote.layouts), "area", units),
        delivered_mass=measure_of(quote.quantities.delivered_kg, "mass", units),
        labor_hours=plain(labor.labor_hours) if labor else None,
        crew_days=plain(labor.crew_days) if labor else None,
        direct_cost=plain(price.direct_cost),
        subtotal=plain(price.subtotal),
        total=plain(price.total),
        difference=_difference(price.total, base.quote.price.total),
        margin=None if price.margin is None else plain(price.margin),
        complete=not quote.not_priced,
        cautions=here,
        cautions_gained=_without(here, there),
        cautions_lost=_without(there, here),
    )


def _difference(total: Decimal, base: Decimal) -> str:
    difference = total - base
    return plain(abs(difference) if difference.is_zero() else difference)


def _caution_codes(quote: Quote) -> tuple[str, ...]:
    """Codes in the order of the cautions, with the wall's name for each wall they are about."""
    return tuple(
        f"{caution.code}: {wall}" if wall else caution.code
        for caution in quote.cautions.given
        for wall in caution.walls or ("",)
    )


def _without(codes: Collection[str], others: Collection[str]) -> tuple[str, ...]:
    return tuple(code for code in codes if code not in others)


def _wall(layout: WallLayout, base: _Base) -> WallFigures:
    standard, corner, cap = unit_counts(layout)
    units = base.quote.job.units
    return WallFigures(
        wall=layout.name,
        courses=len(layout.courses),
        most_courses=layout.most_courses,
        max_exposed_height=measure_of(layout.max_exposed_m, "length", units),
        max_wall_height=measure_of(layout.max_wall_height_m, "length", units),
        built_top=base.built_top(layout),
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
        passes=_passes(base.quote, layout.name),
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
        quote = core.quote(job, base.quote.prices)
    except QuoteFaultsError:  # such as a price that only the higher wall needs
        return None
    layout, units = quote.layouts[index], job.units
    return FitAnswer(
        change=measure_of(change_m, "length", units),
        courses=len(layout.courses),
        most_courses=layout.most_courses,
        max_exposed_height=measure_of(layout.max_exposed_m, "length", units),
        built_top=base.built_top(layout),
        max_wall_height=measure_of(layout.max_wall_height_m, "length", units),
        passes=_passes(quote, layout.name),
        figures=_figures(quote, base),
    )


def _passes(quote: Quote, wall: str) -> bool | None:
    """Whether no check of a wall fails; None where none could be made."""
    checks = quote.screening.checks(reinforced=quote.reinforced)
    made = [check for check in checks if check.wall == wall and check.status != "not_checked"]
    return not any(check.status == "fail" for check in made) if made else None
