"""Checks and screening as they leave the service. A first look, never a design."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Annotated, Literal

from msgspec import UNSET, Meta, Struct, UnsetType

from service.core.built import Built
from service.core.cautions.for_engineer import (
    beside_checks,
    engineer_reasons,
    walls_for_engineer,
)
from service.core.job.basis import BasisId, CheckName
from service.core.job.reinforcement import Layer, WallReinforcement
from service.core.measure import UnitSet
from service.core.quote import Quote
from service.core.rounding import ratio_to_show
from service.core.screening.check import Build, Check, Status
from service.core.screening.screening_summary import summary_of
from service.core.screening.wall_screening import WallScreening
from service.core.would_pass.alternative import Alternative, WouldPass, in_order_tried
from service.operations.answer_figures import Length, Money
from service.operations.quoting.measures import measure_of, plain
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.would_pass_answer import (
    AlternativeAnswer,
    alternative_answers,
    changes_in_words,
    why_none,
)

Figure = Annotated[
    str,
    Meta(
        pattern=r"^-?[0-9]+(\.[0-9]+)?$",
        description="Resistance over load, or eccentricity over base width: a bare ratio.",
    ),
]


class CheckAnswer(Struct, frozen=True):
    """One check of one wall, at the station that governs."""

    check: CheckName
    wall: str
    build: Annotated[
        Build,
        Meta(description="Looked at as a plain stack of units, or with its layers."),
    ]
    limit: Literal["min", "max"]
    basis: BasisId
    status: Status
    source: str
    station: Length | UnsetType = UNSET
    value: Figure | UnsetType = UNSET
    required: Figure | UnsetType = UNSET
    assumed: Annotated[
        tuple[str, ...] | UnsetType, Meta(description="Pointers of the defaults it rests on.")
    ] = UNSET
    missing: Annotated[tuple[str, ...] | UnsetType, Meta(description="What the check lacks.")] = (
        UNSET
    )
    how: tuple[str, ...] = ()


class LayerAnswer(Struct, frozen=True):
    """One layer over a stretch of stations."""

    course: Annotated[int, Meta(description="It lies on top of this course, counted from 1.")]
    from_station: Length
    to_station: Length
    length: Annotated[
        Length, Meta(description="From the face of the units into the soil: ft, or m in metric.")
    ]


class WallScreeningAnswer(Struct, frozen=True):
    """One wall: the tallest plain stack of its units on its soil, and its layers."""

    wall: str
    tallest_gravity_courses: int | UnsetType = UNSET
    tallest_gravity_height: Length | UnsetType = UNSET
    layers: tuple[LayerAnswer, ...] | UnsetType = UNSET


class PriceEffect(Struct, frozen=True):
    """What the layers change: totals of the whole quote without and with them."""

    gravity_total: Money
    reinforced_total: Money
    difference: Money


class ReinforcementAnswer(Struct, frozen=True):
    """A preliminary layout of layers, made to be priced; a licensed engineer designs it."""

    item: str
    quoted: Annotated[bool, Meta(description="Whether it is part of this quote's price.")]
    price_effect: Annotated[
        PriceEffect | UnsetType,
        Meta(description="At the prices of this quote; absent from one that was re-priced."),
    ] = UNSET
    checks: Annotated[
        tuple[CheckAnswer, ...] | UnsetType,
        Meta(description="Checks with the layers, where the quote is without them."),
    ] = UNSET
    description: Annotated[str | UnsetType, Meta(description="What the item is.")] = UNSET


class ScreeningAnswer(Struct, frozen=True):
    """What the checks rest on, by wall, and what it comes to in plain words."""

    basis: BasisId
    title: str
    source: str
    walls: tuple[WallScreeningAnswer, ...]
    summary: Annotated[tuple[str, ...], Meta(description="For the customer, in plain words.")]
    reinforcement: ReinforcementAnswer | UnsetType = UNSET
    would_pass: Annotated[
        tuple[AlternativeAnswer, ...] | UnsetType,
        Meta(description="Where a check fails."),
    ] = UNSET
    other_walls: tuple[AlternativeAnswer, ...] | UnsetType = UNSET
    why_none: Annotated[
        tuple[str, ...] | UnsetType,
        Meta(description="Where nothing in `would_pass`: what comes nearest, and what it lacks."),
    ] = UNSET


def checks_answer(quote: Built) -> tuple[CheckAnswer, ...]:
    """The checks of the walls as they are quoted."""
    return checked(quote.screening.checks(reinforced=quote.reinforced), quote)


def screening_answer(
    quote: Quote, found: WouldPass | None, request: QuoteRequest
) -> ScreeningAnswer:
    """What stands beside the checks."""
    basis = quote.screening.basis
    sets = found.sets if found else ()
    return ScreeningAnswer(
        basis=basis.id,
        title=basis.title,
        source=basis.source,
        walls=tuple(wall_screening(wall, quote) for wall in quote.screening.walls),
        summary=screening_summary(quote, sets),
        reinforcement=_reinforcement(quote),
        would_pass=alternative_answers(sets, quote, request) if found else UNSET,
        other_walls=alternative_answers(found.other_walls, quote, request) if found else UNSET,
        why_none=why_none(found, quote) if found else UNSET,
    )


def screening_summary(quote: Built, sets: Sequence[Alternative]) -> tuple[str, ...]:
    """What the checks come to, for the customer; `sets` are changes that would pass."""
    return summary_of(
        quote.screening,
        beside_checks(quote.job, quote.cautions),
        reinforced=quote.reinforced,
        reasons=engineer_reasons(quote.job, quote.cautions),
        for_engineer=walls_for_engineer(quote.job, quote.layouts, quote.cautions),
        passing=tuple(changes_in_words(each, quote) for each in in_order_tried(sets)),
    )


def checked(checks: Iterable[Check], quote: Built) -> tuple[CheckAnswer, ...]:
    """Checks of the answer."""
    return tuple(_check(check, quote) for check in checks)


def _check(check: Check, quote: Built) -> CheckAnswer:
    units, value = quote.job.units, check.value
    shown = UNSET if value is None else ratio_to_show(value, up=check.limit == "max")
    return CheckAnswer(
        check=check.check,
        wall=check.wall,
        build=check.build,
        limit=check.limit,
        basis=quote.screening.basis.id,
        status=check.status,
        source=check.source,
        station=UNSET if check.station_m is None else measure_of(check.station_m, "length", units),
        value=UNSET if shown is None else shown,
        required=check.required.text if check.required else UNSET,
        assumed=check.assumed or UNSET,
        missing=check.missing or UNSET,
        how=check.how,
    )


def wall_screening(wall: WallScreening, quote: Built) -> WallScreeningAnswer:
    """One wall of the screening, as it is answered."""
    units, tallest = quote.job.units, wall.tallest_m
    layout = next(each for each in quote.layouts if each.name == wall.wall)
    layers = wall.reinforcement.layers if wall.reinforcement else ()
    return WallScreeningAnswer(
        wall=wall.wall,
        tallest_gravity_courses=UNSET if wall.tallest_courses is None else wall.tallest_courses,
        tallest_gravity_height=UNSET if tallest is None else measure_of(tallest, "length", units),
        layers=tuple(_layer(layer, layout.lowest, units) for layer in layers) or UNSET,
    )


def _layer(layer: Layer, lowest: int, units: UnitSet) -> LayerAnswer:
    return LayerAnswer(
        course=layer.joint - lowest,
        from_station=measure_of(layer.from_m, "length", units),
        to_station=measure_of(layer.to_m, "length", units),
        length=measure_of(layer.length_m, "length", units),
    )


def _reinforcement(quote: Quote) -> ReinforcementAnswer | UnsetType:
    effect = quote.price_effect
    layers: tuple[WallReinforcement, ...] = quote.screening.reinforcement
    if effect is None or not layers:
        return UNSET
    material = quote.job.materials.get(layers[0].item)
    return ReinforcementAnswer(
        item=layers[0].item,
        description=material.title if material else UNSET,
        quoted=quote.reinforced,
        price_effect=PriceEffect(
            gravity_total=plain(effect.gravity_total),
            reinforced_total=plain(effect.reinforced_total),
            difference=plain(effect.reinforced_total - effect.gravity_total),
        ),
        checks=UNSET
        if quote.reinforced
        else checked(quote.screening.checks(reinforced=True), quote),
    )
