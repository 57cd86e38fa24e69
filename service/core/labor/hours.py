"""What labor hands on: hours of tasks, time of crews and machines."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core.job.machine import Machine
from service.core.measure import Dimension
from service.core.shares import Shares


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
