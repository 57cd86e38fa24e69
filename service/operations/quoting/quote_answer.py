"""From the core's quote to the answer: SI to the request's unit set, money and counts as text."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

import msgspec
from msgspec import UNSET

from service.core import ENGINE_VERSION
from service.core.job.price_list import PriceList
from service.core.job.terms import Engineering, Terms
from service.core.layout.courses import Leg, Run
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet, number
from service.core.needed import NeededItem
from service.core.not_priced import NotPriced
from service.core.price.price import Price, PriceLine
from service.core.quote import Quote
from service.core.takeoff.quantities import Quantities, QuantityLine
from service.core.would_pass.alternative import WouldPass
from service.operations.answer_figures import Measure
from service.operations.quoting.answer import (
    AssumptionAnswer,
    DeliveredAnswer,
    EngineeringAnswer,
    NeededAnswer,
    NotPricedAnswer,
    PriceAnswer,
    PriceLineAnswer,
    PriceListRef,
    PriceSource,
    QuantityAnswer,
    QuoteAnswer,
    WallPrice,
)
from service.operations.quoting.answer_walls import (
    CapAnswer,
    CourseAnswer,
    LegAnswer,
    RunAnswer,
    StepAnswer,
    WallAnswer,
)
from service.operations.quoting.caution_answer import caution_answer
from service.operations.quoting.earth_answer import earth_answer
from service.operations.quoting.labor_answer import labor_answer
from service.operations.quoting.measures import measure_of, plain
from service.operations.quoting.order_answer import order_answer
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.screening_answer import checks_answer, screening_answer
from service.operations.quoting.sentences import for_reading

MATERIALS_ONLY = "materials only"
_ENCODER = msgspec.json.Encoder()
# An answer holds text, whole numbers, true, false and null under ASCII keys: sorted and compact
# that is the RFC 8785 form, as a test against the reference library holds.
_CANONICAL = msgspec.json.Encoder(order="sorted")


def encode_answer(answer: msgspec.Struct) -> bytes:
    """The answer as JSON, UTF-8, keys in the order of its type."""
    return _ENCODER.encode(answer)


def digest_of(answer: msgspec.Struct) -> str:
    """SHA-256 over the RFC 8785 form of the answer without its digest, hexadecimal."""
    return document_digest(msgspec.to_builtins(answer))


def document_digest(answer: Mapping[str, object]) -> str:
    """The digest of an answer as plain objects."""
    document = {key: value for key, value in answer.items() if key != "digest"}
    return hashlib.sha256(_CANONICAL.encode(document)).hexdigest()


def from_core(
    quote: Quote,
    request: QuoteRequest,
    catalog_version: str,
    assumptions: tuple[AssumptionAnswer, ...],
    found: WouldPass | None = None,
) -> QuoteAnswer:
    """The answer to a request; `found` is what would pass where a check fails."""
    units, prices = quote.job.units, quote.prices
    valid = _valid_until(request.issued_on, quote.job.terms)
    answer = QuoteAnswer(
        digest="",
        engine_version=ENGINE_VERSION,
        catalog_version=catalog_version,
        price_list=_price_list(prices),
        units=units.name,
        levels_are=request.levels_are,
        currency=prices.currency,
        materials_only=request.materials_only,
        title=title_of(request),
        reference=request.reference or UNSET,
        issued_on=request.issued_on.isoformat() if request.issued_on else UNSET,
        valid_until=valid.isoformat() if valid else UNSET,
        walls=tuple(wall_answer(x, units, rod=request.are_rods()) for x in quote.layouts),
        quantities=tuple(quantity_answer(line, units) for line in quote.quantities.lines),
        delivered=delivered_answer(quote.quantities, units),
        earthwork=earth_answer(quote.earthwork, units) if quote.earthwork else UNSET,
        labor=labor_answer(quote.labor, units) if quote.labor else UNSET,
        order_of_work=order_answer(quote.phases, units) if quote.phases else UNSET,
        price=price_answer(
            quote.price,
            prices,
            tuple(map(_not_priced, quote.not_priced)),
            tuple(map(needed_answer, quote.needed)),
        ),
        engineering=engineering_answer(quote.job.engineering),
        checks=checks_answer(quote),
        screening=screening_answer(quote, found, request),
        cautions=tuple(map(caution_answer, quote.cautions.given)),
        always=tuple(map(caution_answer, quote.cautions.always)),
        assumptions=assumptions,
    )
    return msgspec.structs.replace(answer, digest=digest_of(answer))


def delivered_answer(quantities: Quantities, units: UnitSet) -> DeliveredAnswer:
    """The weight of what is delivered, as it is answered."""
    mass = measure_of(quantities.delivered_kg, "mass", units)
    return DeliveredAnswer(mass=mass, not_weighed=quantities.not_weighed)


def engineering_answer(stated: Engineering | None) -> EngineeringAnswer | msgspec.UnsetType:
    """How the engineer's work is settled, where the request says."""
    if stated is None:
        return UNSET
    return EngineeringAnswer(settled=stated.settled, because=stated.because or UNSET)


def title_of(request: QuoteRequest) -> str | msgspec.UnsetType:
    """The title; a quote of material alone says so in it."""
    if not request.materials_only:
        return request.title or UNSET
    return f"{request.title} ({MATERIALS_ONLY})" if request.title else MATERIALS_ONLY.capitalize()


def _valid_until(issued_on: date | None, terms: Terms | None) -> date | None:
    if issued_on is None or terms is None or terms.valid_days is None:
        return None
    return issued_on + timedelta(days=terms.valid_days)


def _price_list(prices: PriceList) -> PriceListRef | msgspec.UnsetType:
    if prices.id is None or prices.revision is None:
        return UNSET
    return PriceListRef(id=prices.id, revision=prices.revision)


def wall_answer(layout: WallLayout, units: UnitSet, *, rod: bool) -> WallAnswer:
    """A wall of the answer; `rod`: its levels are rod readings."""

    def length(value_m: float) -> Measure:
        return measure_of(value_m, "length", units)

    return WallAnswer(
        name=layout.name,
        length=length(layout.length_m),
        face_area=measure_of(layout.face_area_m2, "area", units),
        exposed_area=measure_of(layout.exposed_area_m2, "area", units),
        pay_face_area=measure_of(layout.pay_face_area_m2, "area", units),
        max_exposed_height=length(layout.max_exposed_m),
        max_wall_height=length(layout.max_wall_height_m),
        courses=tuple(
            CourseAnswer(
                number=course.number,
                elevation=length(-course.elevation_m if rod else course.elevation_m),
                runs=tuple(_run(run, units) for run in course.runs),
            )
            for course in layout.courses
        ),
        steps=tuple(
            StepAnswer(station=length(step.station_m), courses=step.courses)
            for step in layout.steps
        ),
        caps=tuple(
            CapAnswer(
                from_station=length(cap.from_station_m),
                to_station=length(cap.to_station_m),
                length=length(cap.length_m),
                units=cap.units,
            )
            for cap in layout.caps
        ),
        setback=length(layout.system.setback_m),
    )


def _run(run: Run, units: UnitSet) -> RunAnswer:
    return RunAnswer(
        from_station=measure_of(run.from_station_m, "length", units),
        to_station=measure_of(run.to_station_m, "length", units),
        face_length=measure_of(run.face_length_m, "length", units),
        standard_units=run.standard_units,
        corner_units=run.corner_units,
        legs=_legs(run.legs, units) if len(run.legs) > 1 else (),
    )


def _legs(legs: Iterable[Leg], units: UnitSet) -> tuple[LegAnswer, ...]:
    return tuple(
        LegAnswer(
            from_station=measure_of(leg.from_station_m, "length", units),
            to_station=measure_of(leg.to_station_m, "length", units),
            face_length=measure_of(leg.face_length_m, "length", units),
            standard_units=leg.standard_units,
            corner_units=leg.corner_units,
        )
        for leg in legs
    )


def quantity_answer(line: QuantityLine, units: UnitSet) -> QuantityAnswer:
    """A quantity line of the answer."""
    return QuantityAnswer(
        item=line.item,
        description=line.description,
        group=line.group,
        net=measure_of(line.net, line.dimension, units),
        waste=number(line.waste),
        order=Measure(value=number(line.order), unit=line.order_unit),
        packs=Measure(value=str(line.packs[0]), unit=line.packs[1]) if line.packs else UNSET,
        weight=UNSET if line.weight_kg is None else measure_of(line.weight_kg, "mass", units),
        how=line.how,
        stock=True if line.stock else UNSET,
    )


def _not_priced(gap: NotPriced) -> NotPricedAnswer:
    return NotPricedAnswer(part=gap.part, field=gap.field, why=for_reading(gap.why))


def needed_answer(item: NeededItem) -> NeededAnswer:
    """What is needed, as it is answered."""
    return NeededAnswer(what=item.what, by=item.by, text=item.text)


def price_answer(
    price: Price,
    prices: PriceList,
    not_priced: tuple[NotPricedAnswer, ...],
    needed: tuple[NeededAnswer, ...] = (),
) -> PriceAnswer:
    """The price of the answer; `not_priced` is what its total leaves out."""
    return PriceAnswer(
        lines=tuple(_price_line(line, prices) for line in price.lines),
        direct_cost=plain(price.direct_cost),
        overhead=plain(price.overhead),
        contingency=plain(price.contingency),
        profit=plain(price.profit),
        discount=plain(price.discount),
        added_to_reach_minimum=plain(price.added_to_reach_minimum),
        subtotal=plain(price.subtotal),
        tax=plain(price.tax),
        total=plain(price.total),
        margin=None if price.margin is None else plain(price.margin),
        deposit=plain(price.deposit),
        complete=not not_priced,
        not_priced=not_priced,
        by_wall=tuple(WallPrice(wall=name, price=plain(part)) for name, part in price.by_wall),
        site_wide=plain(price.site_wide),
        how=dict(price.how),
        needed_not_priced=needed,
    )


def _price_line(line: PriceLine, prices: PriceList) -> PriceLineAnswer:
    source: PriceSource | msgspec.UnsetType = UNSET
    if line.from_list or line.override:
        source = PriceSource(
            item=line.item,
            override=line.override,
            price_list=prices.id or UNSET,
            revision=prices.revision or UNSET,
        )
    return PriceLineAnswer(
        item=line.item,
        description=line.description,
        group=line.group,
        kind=line.kind,
        quantity=Measure(value=number(line.quantity), unit=line.quantity_unit),
        unit_cost=plain(line.unit_cost),
        per=line.per,
        cost=plain(line.cost),
        price=plain(line.price),
        taxable=line.taxable,
        how=line.how,
        price_source=source,
    )
