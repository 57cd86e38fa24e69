"""What each step of the calculation hands to the next: frozen, in SI, in the order of the line.

WallSpec -> WallLayout -> Quantities -> Labor -> Price
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core.machine import Machine
from service.core.measure import Dimension
from service.core.rates import Measured
from service.core.section import Group
from service.core.terms import Kind

Shares = tuple[tuple[str, float], ...]  # (wall, net amount), in the order of the walls' names


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """The part of a run between corners: its face and the units counted for it."""

    from_station_m: float
    to_station_m: float
    face_length_m: float
    standard_units: int
    corner_units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of stations where a course is present."""

    from_station_m: float
    to_station_m: float
    legs: tuple[Leg, ...]

    @property
    def face_length_m(self) -> float:
        """Face length of the run."""
        return sum(leg.face_length_m for leg in self.legs)

    @property
    def standard_units(self) -> int:
        """Standard units of the run."""
        return sum(leg.standard_units for leg in self.legs)

    @property
    def corner_units(self) -> int:
        """Corner units of the run."""
        return sum(leg.corner_units for leg in self.legs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One row of units. `joint` is its lower joint over the datum, `offset_m` how far its face
    lies behind the plan line, `elevation_m` its underside."""

    number: int
    joint: int
    offset_m: float
    elevation_m: float
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseStep:
    """A step of the base: `courses` > 0 is up in the direction of travel."""

    station_m: float
    courses: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CapRun:
    """A stretch with one top joint: its capped length (returns included) and the caps."""

    from_station_m: float
    to_station_m: float
    length_m: float
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityLine:
    """One item over all walls.

    `net` is the amount in place (SI, or pieces) before waste; `order` what is paid, in
    `order_unit` (a unit symbol or a pack word) and priced per `sold_per` (a unit symbol or
    `pack`); a pack holds `pack_content` of `pack_unit`, so that a price of that dimension can be
    converted (None: only a price per pack will do). `packs` tells pallets, rolls, bags: (count,
    word).
    """

    item: str
    description: str
    group: Group
    net: float
    dimension: Dimension
    waste: Decimal
    order: Decimal
    order_unit: str
    sold_per: str
    shares: Shares
    how: tuple[str, ...]
    packs: tuple[int, str] | None = None
    weight_kg: float | None = None
    kind: Kind = "material"
    pack_content: Decimal | None = None
    pack_unit: str | None = None
    increment_assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantities:
    """The takeoff: lines in the contract's order, and what work is measured by, wall by wall."""

    lines: tuple[QuantityLine, ...]
    measured: Mapping[Measured, Shares]
    delivered_kg: float
    not_weighed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskHours:
    """Person-hours of one task: rate x quantity x conditions, rounded to 0.01 h.

    `hours` are expected; `hours_low` are not reached in one case of five, `hours_high` not
    exceeded in four of five, both equal to `hours` where the rate is one figure. `variance` is
    theirs before rounding, in hours squared.
    """

    task: str
    title: str
    crew: str
    quantity: float
    dimension: Dimension
    hours: Decimal
    hours_low: Decimal
    hours_high: Decimal
    shares: Shares
    how: tuple[str, ...]
    variance: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineHours:
    """Machine-hours of one task, apart from the person-hours of whoever runs the machine; the
    figures are those of TaskHours."""

    task: str
    title: str
    machine: str
    quantity: float
    dimension: Dimension
    hours: Decimal
    hours_low: Decimal
    hours_high: Decimal
    shares: Shares
    how: tuple[str, ...]
    variance: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewTime:
    """Time of one crew over the whole quote; `paid_hours` = days x paid hours x size, and
    `person_days` = days x size (a price per `day` is that of one person)."""

    crew: str
    title: str
    item: str
    hours: Decimal
    days: Decimal
    paid_hours: Decimal
    person_days: Decimal
    shares: Shares
    how: tuple[str, ...]
    hour_cost: Decimal | None = None
    hour_cost_how: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineTime:
    """Time of one machine over the whole quote. `days` are those for which it is there, from the
    first to the last day of need; `loads` what it carries that is counted in loads."""

    machine: Machine
    hours: Decimal
    hours_low: Decimal
    hours_high: Decimal
    days: int
    loads: Decimal
    shares: Shares
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Replaced:
    """A task whose machine can't do it here: why, and the task done in its place."""

    task: str
    machine: str
    code: str
    why: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Labor:
    """Labor and machines of the quote. `crew_days` sums the crews' days; `wage_currency` is that
    of the crews' `hour_cost`. `labor_hours_low` and `labor_hours_high` are those of the sum."""

    tasks: tuple[TaskHours, ...]
    crews: tuple[CrewTime, ...]
    labor_hours: Decimal
    labor_hours_low: Decimal
    labor_hours_high: Decimal
    crew_days: Decimal
    wage_currency: str | None = None
    machine_tasks: tuple[MachineHours, ...] = ()
    equipment: tuple[MachineTime, ...] = ()
    replaced: tuple[Replaced, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One line: `quantity` in `quantity_unit` at `unit_cost` per `per`; `cost` and `price` exact.

    `from_list` says that the unit cost stands in the price list (inline or not), `override` that
    the caller set it for this quote; neither for extras, wages of the rates and purchase tax.
    """

    item: str
    description: str
    group: Group
    kind: Kind
    quantity: Decimal
    quantity_unit: str
    unit_cost: Decimal
    per: str
    cost: Decimal
    price: Decimal
    taxable: bool
    from_list: bool
    override: bool
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """The roll-up, each amount as the contract's section 3 defines it."""

    lines: tuple[PriceLine, ...]
    direct_cost: Decimal
    overhead: Decimal
    contingency: Decimal
    profit: Decimal
    discount: Decimal
    added_to_reach_minimum: Decimal
    subtotal: Decimal
    tax: Decimal
    total: Decimal
    margin: Decimal | None
    deposit: Decimal
    by_wall: tuple[tuple[str, Decimal], ...]
    site_wide: Decimal
    how: tuple[tuple[str, str], ...]  # (amount, the arithmetic in words), in the order above
