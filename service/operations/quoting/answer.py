"""The answer's types: what leaves the service, and its JSON Schema. Fields stand as they print."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import UNSET, Meta, Struct, UnsetType

from service.core.job.terms import Excluded
from service.operations.answer_figures import (
    Counted,
    Day,
    Digest,
    Hours,
    Mass,
    Measure,
    Money,
    Ratio,
    Sold,
)
from service.operations.quoting.answer_walls import EarthworkAnswer, WallAnswer
from service.operations.quoting.changes_request import PatchStep
from service.operations.quoting.order_answer import OrderAnswer
from service.operations.quoting.screening_answer import CheckAnswer, ScreeningAnswer


class PriceListRef(Struct, frozen=True):
    """The revision of the price list that was used."""

    id: str
    revision: int


class QuantityAnswer(Struct, frozen=True):
    """One item over all walls: in place, with waste, as ordered, and how it was counted."""

    item: str
    description: str
    group: str
    net: Counted
    waste: Ratio
    order: Sold
    how: tuple[str, ...]
    packs: Sold | UnsetType = UNSET
    weight: (
        Annotated[Mass, Meta(description="Of the order; of what trucks carry, as they carry it.")]
        | UnsetType
    ) = UNSET
    stock: (
        Annotated[bool, Meta(description="Kept in stock: `order` is charged, nobody brings it.")]
        | UnsetType
    ) = UNSET


class DeliveredAnswer(Struct, frozen=True):
    """Weight of everything ordered whose weight is known, and the items left out of it."""

    mass: Mass
    not_weighed: tuple[str, ...]


class TaskAnswer(Struct, frozen=True):
    """Hours of one task: expected, and the 20 % and 80 % points."""

    task: str
    title: str
    crew: str
    quantity: Measure
    hours: Hours
    hours_low: Hours
    hours_high: Hours
    how: tuple[str, ...]


class CrewAnswer(Struct, frozen=True):
    """One crew over the whole quote."""

    crew: str
    title: str
    hours: Hours
    days: str
    paid_hours: Hours
    how: tuple[str, ...]


class EquipmentAnswer(Struct, frozen=True):
    """One machine over the whole quote; `days` from the first to the last day of need."""

    machine: str
    title: str
    hours: Hours
    hours_low: Hours
    hours_high: Hours
    days: int
    how: tuple[str, ...]


class ReplacedAnswer(Struct, frozen=True):
    """A task whose machine can't do it here, why, and the task done in its place."""

    task: str
    machine: str
    code: str
    why: str
    by: str


class MachineSetAnswer(Struct, frozen=True):
    """Machines by id, and what the whole job costs with them by `choose_by` of the rates: a
    figure to compare sets by, not a price."""

    machines: tuple[str, ...]
    cost: str


class MachineChoiceAnswer(Struct, frozen=True):
    """The machines chosen for the whole job, and the set that comes next, where there is one."""

    machines: tuple[str, ...]
    cost: str
    how: tuple[str, ...]
    runner_up: MachineSetAnswer | UnsetType = UNSET


class LaborAnswer(Struct, frozen=True):
    """Labor and machines over the whole quote; the low and high hours are those of the sum.
    `choice` is there where the rates choose machines and there is something to choose."""

    tasks: tuple[TaskAnswer, ...]
    crews: tuple[CrewAnswer, ...]
    labor_hours: Hours
    labor_hours_low: Hours
    labor_hours_high: Hours
    crew_days: str
    equipment: tuple[EquipmentAnswer, ...]
    replaced: tuple[ReplacedAnswer, ...]
    choice: MachineChoiceAnswer | UnsetType = UNSET


class PriceSource(Struct, frozen=True):
    """Where a unit cost comes from; without a price list the costs came inline."""

    item: str
    override: bool
    price_list: str | UnsetType = UNSET
    revision: int | UnsetType = UNSET


class PriceLineAnswer(Struct, frozen=True):
    """One line of the price; without a `price_source` it is an extra, a wage or a tax."""

    item: str
    description: str
    group: str
    kind: str
    quantity: Sold
    unit_cost: Money
    per: str
    cost: Money
    price: Money
    taxable: bool
    how: tuple[str, ...]
    price_source: PriceSource | UnsetType = UNSET


class WallPrice(Struct, frozen=True):
    """The part of the subtotal that belongs to one wall."""

    wall: str
    price: Money


class NotPricedAnswer(Struct, frozen=True):
    """What the total leaves out; `field` is what would bring it in."""

    part: Literal["labor", "earthwork", "terms", "drainage"]
    field: str
    why: str


class NeededAnswer(Struct, frozen=True):
    """Needed and not in the total; `by` is the field or table that would bring it in."""

    what: Excluded
    by: str
    text: str


class PriceAnswer(Struct, frozen=True):
    """The roll-up; `how` gives the arithmetic of each amount and the base of each percentage."""

    lines: tuple[PriceLineAnswer, ...]
    direct_cost: Money
    overhead: Money
    contingency: Money
    profit: Money
    discount: Money
    added_to_reach_minimum: Money
    subtotal: Money
    tax: Money
    total: Money
    margin: Ratio | None
    deposit: Money
    complete: bool
    not_priced: tuple[NotPricedAnswer, ...]
    by_wall: tuple[WallPrice, ...]
    site_wide: Money
    how: dict[str, str]
    needed_not_priced: tuple[NeededAnswer, ...] = ()


class CautionAnswer(Struct, frozen=True):
    """Something to heed; none of it replaces local code or licensed practice. `walls` are those
    it is about, left out for the whole job."""

    code: str
    severity: Literal["high", "medium", "low"]
    text: str
    source: str
    walls: tuple[str, ...] | UnsetType = UNSET


class EngineeringAnswer(Struct, frozen=True):
    """How the engineer's work is settled, as the request says."""

    settled: Literal["in_price", "by_owner", "not_needed"]
    because: str | UnsetType = UNSET


class AssumptionAnswer(Struct, frozen=True):
    """A default that the answer rests on. With `what_if`, where another value is plausible:
    that value in words, the `patch` of the request with which it was quoted, by how much its
    total is over this one and whether no check of it fails (null where none could be made);
    or why it is `not_quoted`."""

    field: str
    value: str
    why: str
    if_instead: str | UnsetType = UNSET
    patch: tuple[PatchStep, ...] | UnsetType = UNSET
    changes_total_by: Money | UnsetType = UNSET
    passes: bool | UnsetType | None = UNSET
    not_quoted: str | UnsetType = UNSET


class QuoteAnswer(Struct, frozen=True):
    """A quote: quantities, hours and price, with the arithmetic shown. `priced_by` stands in a
    revision that was re-priced: the engine version that priced it; the other versions are those
    of its quantities. `always` are words for every job."""

    digest: Digest
    engine_version: str
    catalog_version: Digest
    units: Literal["us", "metric"]
    currency: str
    materials_only: bool
    walls: tuple[WallAnswer, ...]
    quantities: tuple[QuantityAnswer, ...]
    delivered: DeliveredAnswer
    price: PriceAnswer
    checks: tuple[CheckAnswer, ...]
    screening: ScreeningAnswer
    cautions: tuple[CautionAnswer, ...]
    always: tuple[CautionAnswer, ...]
    assumptions: tuple[AssumptionAnswer, ...]
    price_list: PriceListRef | UnsetType = UNSET
    title: str | UnsetType = UNSET
    reference: str | UnsetType = UNSET
    issued_on: Day | UnsetType = UNSET
    valid_until: Day | UnsetType = UNSET
    earthwork: EarthworkAnswer | UnsetType = UNSET
    labor: LaborAnswer | UnsetType = UNSET
    order_of_work: OrderAnswer | UnsetType = UNSET
    priced_by: str | UnsetType = UNSET
    levels_are: Literal["elevation", "rod"] | UnsetType = UNSET
    engineering: EngineeringAnswer | UnsetType = UNSET
