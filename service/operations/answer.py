"""The answer's types: what leaves the service, and its JSON Schema. Fields stand as they print.

A measure has one unit per field and unit set; `x-units` in the schema names both.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import UNSET, Meta, Struct, UnsetType, field

DECIMAL = r"^-?[0-9]+(\.[0-9]+)?$"
DIGEST = "^[0-9a-f]{64}$"

Money = Annotated[str, Meta(pattern=DECIMAL, description="Money in the answer's currency.")]
Ratio = Annotated[str, Meta(pattern=DECIMAL, description="A share: 0.05 is 5 %.")]
Hours = Annotated[str, Meta(pattern=DECIMAL, description="Hours of work.")]
Digest = Annotated[str, Meta(pattern=DIGEST, description="SHA-256, hexadecimal.")]


SoilState = Literal["bank", "loose", "compacted", "in_place"]


class Measure(Struct, frozen=True):
    """A value with its unit."""

    value: Annotated[str, Meta(pattern=DECIMAL)]
    unit: str


Length = Annotated[
    Measure,
    Meta(
        description="Length: ft, or m in metric.",
        extra_json_schema={"x-units": {"us": "ft", "metric": "m"}},
    ),
]
Area = Annotated[
    Measure,
    Meta(
        description="Area: ft2, or m2 in metric.",
        extra_json_schema={"x-units": {"us": "ft2", "metric": "m2"}},
    ),
]
Mass = Annotated[
    Measure,
    Meta(
        description="Weight: lb, or kg in metric.",
        extra_json_schema={"x-units": {"us": "lb", "metric": "kg"}},
    ),
]
Counted = Annotated[
    Measure,
    Meta(
        description="Pieces (each), length (ft, m), area (ft2, m2), volume (yd3, m3) or weight "
        "(lb, kg): by what is counted, in the unit set of the request.",
        extra_json_schema={
            "x-units": {
                "us": ["each", "ft", "ft2", "yd3", "lb"],
                "metric": ["each", "m", "m2", "m3", "kg"],
            }
        },
    ),
]
Sold = Annotated[
    Measure, Meta(description="In the unit or pack in which it is sold, whatever `units` says.")
]


class PriceListRef(Struct, frozen=True):
    """The revision of the price list that was used."""

    id: str
    revision: int


class LegAnswer(Struct, frozen=True):
    """The part of a run between corners."""

    from_station: Length
    to_station: Length
    face_length: Length
    standard_units: int
    corner_units: int


class RunAnswer(Struct, frozen=True):
    """A stretch of stations where a course is present; `legs` where it turns a corner."""

    from_station: Length
    to_station: Length
    face_length: Length
    standard_units: int
    corner_units: int
    legs: tuple[LegAnswer, ...]


class CourseAnswer(Struct, frozen=True):
    """One row of units; `elevation` is its underside."""

    number: int
    elevation: Length
    runs: tuple[RunAnswer, ...]


class StepAnswer(Struct, frozen=True):
    """A step of the base: `courses` above 0 is up in the direction of travel."""

    station: Length
    courses: int


class CapAnswer(Struct, frozen=True):
    """A run of caps, returns at steps included."""

    from_station: Length
    to_station: Length
    length: Length
    units: int


class WallAnswer(Struct, frozen=True):
    """One wall as laid out."""

    name: str
    length: Length
    face_area: Area
    exposed_area: Area
    pay_face_area: Area
    max_exposed_height: Length
    max_wall_height: Length
    courses: tuple[CourseAnswer, ...]
    steps: tuple[StepAnswer, ...]
    caps: tuple[CapAnswer, ...]


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
    weight: Mass | UnsetType = UNSET


class DeliveredAnswer(Struct, frozen=True):
    """Weight of everything ordered whose weight is known, and the items left out of it."""

    mass: Mass
    not_weighed: tuple[str, ...]


class SoilVolume(Struct, frozen=True):
    """A volume of soil with the state it is in."""

    value: Annotated[str, Meta(pattern=DECIMAL)]
    unit: Annotated[str, Meta(extra_json_schema={"x-units": {"us": "yd3", "metric": "m3"}})]
    state: SoilState


class EndsEarth(Struct, frozen=True):
    """The sloped ends of a wall's cut; part of its cut and of its backfill."""

    cut: SoilVolume
    backfill: SoilVolume


class WallEarth(Struct, frozen=True):
    """Earthwork of one wall. `cut_slope` is horizontal:vertical, `slope_by` what it goes by."""

    wall: str
    cut: SoilVolume
    backfill: SoilVolume
    fill: SoilVolume
    ends: EndsEarth
    cut_slope: str
    slope_by: str
    deepest_cut: Length
    deepest_station: Length
    disturbed_area: Area
    how: tuple[str, ...]


class AreaEarth(Struct, frozen=True):
    """Earthwork of one graded area."""

    name: str
    cut: SoilVolume
    fill: SoilVolume


class TopsoilAnswer(Struct, frozen=True):
    """Topsoil in place: what is over is hauled off, what is short is imported."""

    stripped: SoilVolume
    replaced: SoilVolume
    surplus: SoilVolume
    short: SoilVolume


class EarthworkAnswer(Struct, frozen=True):
    """Soil over the whole job; cut + import = backfill + fill + haul-off, each as bank volume."""

    cut: SoilVolume
    backfill: SoilVolume
    fill: SoilVolume
    reused: SoilVolume
    haul_off: SoilVolume
    import_: SoilVolume = field(name="import")
    haul_loads: int | None
    import_loads: int | None
    walls: tuple[WallEarth, ...]
    grading: tuple[AreaEarth, ...]
    how: tuple[str, ...]
    topsoil: TopsoilAnswer | UnsetType = UNSET


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


class LaborAnswer(Struct, frozen=True):
    """Labor over the whole quote."""

    tasks: tuple[TaskAnswer, ...]
    crews: tuple[CrewAnswer, ...]
    labor_hours: Hours
    crew_days: str
    equipment: tuple[str, ...] = ()


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

    part: Literal["labor", "earthwork", "terms"]
    field: str
    why: str


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


class CautionAnswer(Struct, frozen=True):
    """Something to heed; none of it replaces local code or licensed practice."""

    code: str
    severity: Literal["high", "medium", "low"]
    text: str
    source: str
    wall: str | UnsetType = UNSET


class AssumptionAnswer(Struct, frozen=True):
    """A default that the answer rests on."""

    field: str
    value: str
    why: str


class QuoteAnswer(Struct, frozen=True):
    """A quote: quantities, hours and price, with the arithmetic shown."""

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
    cautions: tuple[CautionAnswer, ...]
    assumptions: tuple[AssumptionAnswer, ...]
    price_list: PriceListRef | UnsetType = UNSET
    title: str | UnsetType = UNSET
    reference: str | UnsetType = UNSET
    issued_on: str | UnsetType = UNSET
    valid_until: str | UnsetType = UNSET
    earthwork: EarthworkAnswer | UnsetType = UNSET
    labor: LaborAnswer | UnsetType = UNSET
