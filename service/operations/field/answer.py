"""What the field is answered: types of its own, in which no sum has a place."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import UNSET, Meta, Struct, UnsetType

from service.core.job.basis import BasisId
from service.core.would_pass.alternative import ChangeName
from service.operations.answer_figures import Day, Digest, Hours
from service.operations.quoting.answer import (
    CautionAnswer,
    CrewAnswer,
    DeliveredAnswer,
    EngineeringAnswer,
    EquipmentAnswer,
    QuantityAnswer,
    ReplacedAnswer,
    TaskAnswer,
)
from service.operations.quoting.answer_walls import EarthworkAnswer, WallAnswer
from service.operations.quoting.changes_request import PatchStep
from service.operations.quoting.order_answer import OrderAnswer
from service.operations.quoting.screening_answer import CheckAnswer, WallScreeningAnswer


class FieldLaborAnswer(Struct, frozen=True):
    """Labor and machines over the whole quote; the low and high hours are those of the sum."""

    tasks: tuple[TaskAnswer, ...]
    crews: tuple[CrewAnswer, ...]
    labor_hours: Hours
    labor_hours_low: Hours
    labor_hours_high: Hours
    crew_days: str
    equipment: tuple[EquipmentAnswer, ...]
    replaced: tuple[ReplacedAnswer, ...]


class FieldAlternativeAnswer(Struct, frozen=True):
    """Changes with which no check fails, whatever they cost."""

    changes: tuple[ChangeName, ...]
    text: str
    patch: Annotated[tuple[PatchStep, ...], Meta(description="Of the request, by RFC 6902.")]


class FieldReinforcementAnswer(Struct, frozen=True):
    """A preliminary layout of layers; a licensed engineer designs it."""

    item: str
    quoted: Annotated[bool, Meta(description="Whether it is part of this quote.")]
    checks: Annotated[
        tuple[CheckAnswer, ...] | UnsetType,
        Meta(description="Checks with the layers, where the quote is without them."),
    ] = UNSET
    description: Annotated[str | UnsetType, Meta(description="What the item is.")] = UNSET


class FieldScreeningAnswer(Struct, frozen=True):
    """What the checks rest on, by wall, and what it comes to in plain words."""

    basis: BasisId
    title: str
    source: str
    walls: tuple[WallScreeningAnswer, ...]
    summary: Annotated[tuple[str, ...], Meta(description="For the customer, in plain words.")]
    reinforcement: FieldReinforcementAnswer | UnsetType = UNSET
    would_pass: Annotated[
        tuple[FieldAlternativeAnswer, ...] | UnsetType,
        Meta(description="Where a check fails."),
    ] = UNSET
    other_walls: tuple[FieldAlternativeAnswer, ...] | UnsetType = UNSET
    why_none: Annotated[
        tuple[str, ...] | UnsetType,
        Meta(description="Where nothing in `would_pass`: what comes nearest, and what it lacks."),
    ] = UNSET


class FieldAssumptionAnswer(Struct, frozen=True):
    """A default that the answer rests on, as in `AssumptionAnswer`, without what it costs."""

    field: str
    value: str
    why: str
    if_instead: str | UnsetType = UNSET
    patch: tuple[PatchStep, ...] | UnsetType = UNSET
    passes: bool | UnsetType | None = UNSET
    not_quoted: str | UnsetType = UNSET


class FieldQuoteAnswer(Struct, frozen=True):
    """A quote for who builds it: quantities, hours, order of work and checks, with the arithmetic
    shown; no prices, rates or terms. `digest` is that of these very bytes."""

    digest: Digest
    engine_version: str
    catalog_version: Digest
    units: Literal["us", "metric"]
    materials_only: bool
    walls: tuple[WallAnswer, ...]
    quantities: tuple[QuantityAnswer, ...]
    delivered: DeliveredAnswer
    checks: tuple[CheckAnswer, ...]
    screening: FieldScreeningAnswer
    cautions: tuple[CautionAnswer, ...]
    always: tuple[CautionAnswer, ...]
    assumptions: tuple[FieldAssumptionAnswer, ...]
    title: str | UnsetType = UNSET
    reference: str | UnsetType = UNSET
    issued_on: Day | UnsetType = UNSET
    earthwork: EarthworkAnswer | UnsetType = UNSET
    labor: FieldLaborAnswer | UnsetType = UNSET
    order_of_work: OrderAnswer | UnsetType = UNSET
    levels_are: Literal["elevation", "rod"] | UnsetType = UNSET
    engineering: EngineeringAnswer | UnsetType = UNSET
