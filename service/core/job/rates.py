"""Production rates: who works, how long a unit of work takes, what makes it slower."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from service.core.fraction import Fraction
from service.core.job.factor import Derivation
from service.core.job.handling import DustTool
from service.core.job.machine import NO_CARRYING, Carrying, ChooseBy, HandStrip, Machine, Truck
from service.core.job.measured import Measured
from service.core.job.phase import DEFAULT_PHASE, OrderRules, Phase
from service.core.measure import Unit
from service.core.three_point import ThreePoint

# What people do while a machine works on: they wait and are paid, or they are on another job.
Waiting = Literal["paid", "elsewhere"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """People who work together. `item` is what the price list calls an hour of one of them.

    `worked_share` is the part of a paid hour that is worked (0.83 for a 50-minute hour).
    `wage` x (1 + `burden`) is the cost of an hour where the price list has no `item`.
    """

    id: str
    title: str
    item: str
    size: int
    paid_hours_per_day: Decimal
    worked_share: Decimal
    wage: Decimal | None = None
    burden: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRate:
    """Hours per unit for units that weigh up to so much; None: for any that are heavier."""

    up_to_kg: float | None
    hours_per_unit: ThreePoint


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductionTask:
    """Person-hours per `unit` of a measured quantity; `conditions` name the factors that apply.

    With `breaks_pallets` it is done only where a pallet outweighs what machines lift; `dust` are
    the tools with which it cuts or breaks concrete or stone.
    `per_distance_m`: the hours are those of carrying it so far; the way to the wall is a factor.
    `by_weight` rises: its first row that a unit doesn't outweigh holds, else `hours_per_unit`.
    """

    id: str
    title: str
    crew: str
    measured_by: Measured
    hours_per_unit: ThreePoint
    unit: Unit
    conditions: tuple[str, ...] = ()
    per_distance_m: float | None = None
    phase: Phase = DEFAULT_PHASE
    breaks_pallets: bool = False
    dust: tuple[DustTool, ...] = ()
    by_weight: tuple[WeightRate, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineTask:
    """Machine-hours per `unit` of a measured quantity; None: by the machine's compaction.

    `basis` is where the hours come from, in words. With `lifts_units` the machine must be able to
    lift the heaviest unit; with `compacts` it must compact the soil though its hours are stated.
    `only_if` are the choices of conditions under which it is done by machine at all. `otherwise`
    is the task that takes its place where the machine can't do it: of a crew or of another
    machine. A task named so is done only then.
    """

    id: str
    title: str
    machine: str
    measured_by: Measured
    hours_per_unit: ThreePoint | None
    unit: Unit
    basis: str | None = None
    conditions: tuple[str, ...] = ()
    lifts_units: bool = False
    compacts: bool = False
    only_if: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    otherwise: str | None = None
    per_distance_m: float | None = None
    phase: Phase = DEFAULT_PHASE


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedHours:
    """Person-hours that don't depend on quantity: once per job, or on each day begun."""

    id: str
    title: str
    crew: str
    hours: Decimal
    per: Literal["job", "day"]
    phase: Phase | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewDay:
    """What a day of a crew holds, in exact person-hours: those that it works, those that every day
    begun takes before any work is done, and those that are `free` for the work; there is no
    schedule where these are not more than 0."""

    worked: Fraction
    daily: Fraction
    free: Fraction


def day_of(crew: Crew, fixed: Iterable[FixedHours]) -> CrewDay:
    """The day of a crew; `fixed` are the hours of all crews."""
    worked = crew.size * Fraction(crew.paid_hours_per_day) * Fraction(crew.worked_share)
    mine = (task for task in fixed if task.per == "day" and task.crew == crew.id)
    daily = sum((Fraction(task.hours) for task in mine), Fraction(0))
    return CrewDay(worked=worked, daily=daily, free=worked - daily)


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A factor on hours by circumstance; `neutral` is the choice when none is made and none
    follows from what is known (`derivation`, None: from nothing)."""

    id: str
    title: str
    neutral: str
    choices: Mapping[str, Decimal]
    derivation: Derivation | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """What all hours of a sum have in common: its deviation is `share` x the sum, 0 to below 1.
    Tasks of one job are done by the same people in the same weather and ground, so that they
    are late together."""

    share: Decimal
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """One set of production rates. `currency` is that of the wages, where there are any;
    `hand_strip` None: nothing is kept away from the units; `fill_reach_m`: how far behind a wall's
    plan line a machine places fill as the courses rise (math.inf: however far); `order` None: no
    weather is allowed for, and every trench is opened whole; `spread` None: hours of a sum have
    nothing in common; `choose_by` None: a task keeps its own machine. `days` are those of the
    crews, as they follow from their hours."""

    id: str
    version: str
    title: str
    crews: tuple[Crew, ...]
    tasks: tuple[ProductionTask, ...]
    fixed: tuple[FixedHours, ...] = ()
    conditions: Mapping[str, Condition] = field(default_factory=lambda: MappingProxyType({}))
    currency: str | None = None
    machines: Mapping[str, Machine] = field(default_factory=lambda: MappingProxyType({}))
    machine_tasks: tuple[MachineTask, ...] = ()
    trucks: Mapping[str, Truck] = field(default_factory=lambda: MappingProxyType({}))
    carrying: Carrying = NO_CARRYING
    hand_strip: HandStrip | None = None
    fill_reach_m: float = math.inf
    order: OrderRules | None = None
    spread: Spread | None = None
    choose_by: ChooseBy | None = None
    waiting: Waiting = "paid"
    days: Mapping[str, CrewDay] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Work out the crews' days once."""
        days = {crew.id: day_of(crew, self.fixed) for crew in self.crews}
        object.__setattr__(self, "days", MappingProxyType(days))

    @property
    def common_share(self) -> Decimal:
        """The share of a sum of hours that is the deviation of what they have in common."""
        return self.spread.share if self.spread else Decimal(0)
