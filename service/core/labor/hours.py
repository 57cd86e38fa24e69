"""What labor hands on: hours of tasks, time of crews and machines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from service.core.fraction import Fraction
from service.core.job.machine import Machine
from service.core.measure import Dimension
from service.core.shares import Shares, add_up, share_out
from service.core.told import Told

Worker = Literal["crew", "machine"]

NO_VARIANCE = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskHours:
    """Hours of one task, by whom: rate x quantity x conditions, rounded to 0.01 h.

    `worker` says whether they are person-hours of a crew or hours of a machine (apart from those
    of whoever runs it), `who` is the id of the crew or machine. `hours` are expected; `hours_low`
    are not reached in one case of five, `hours_high` not exceeded in four of five, both equal to
    `hours` where the rate is one figure. `variance` is theirs before rounding, in hours squared.
    """

    task: str
    title: str
    worker: Worker
    who: str
    quantity: float
    dimension: Dimension
    hours: Decimal
    hours_low: Decimal
    hours_high: Decimal
    shares: Shares
    told: Told = field(compare=False, repr=False)
    variance: Fraction = NO_VARIANCE

    @property
    def how(self) -> tuple[str, ...]:
        """How they come about, in words."""
        return self.told()


def done_by(worker: Worker, work: Sequence[TaskHours]) -> tuple[TaskHours, ...]:
    """The part of some work that crews do, or machines."""
    return tuple(task for task in work if task.worker == worker)


def hours_by_wall(work: Sequence[TaskHours]) -> Shares:
    """Hours wall by wall; those of no wall (fixed ones) ride along with the others."""
    return add_up(share for task in work for share in share_out(float(task.hours), task.shares))


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
    first to the last day of need; `stays` are those of each time that it is brought, where it
    comes more than once; `loads` what it carries that is counted in loads."""

    machine: Machine
    hours: Decimal
    hours_low: Decimal
    hours_high: Decimal
    days: int
    loads: Decimal
    shares: Shares
    how: tuple[str, ...]
    stays: tuple[int, ...] = ()

    @property
    def days_each(self) -> tuple[int, ...]:
        """Days of each time that it is brought."""
        return self.stays or (self.days,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Replaced:
    """A task whose machine can't do it here: why, and the task done in its place."""

    task: str
    machine: str
    code: str
    why: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedWork:
    """Work whose hours are known, and its days not yet: hours of crews, those of who runs the
    machines among them, and of machines; and what was replaced."""

    tasks: tuple[TaskHours, ...]
    machine_tasks: tuple[TaskHours, ...] = ()
    replaced: tuple[Replaced, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineSet:
    """Machines by id, in the order of the rates, and what the job costs with them by the costs
    that machines are chosen by, to 0.01."""

    machines: tuple[str, ...]
    cost: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineChoice:
    """The machines chosen for the whole job, and those that come next."""

    chosen: MachineSet
    runner_up: MachineSet | None
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Labor:
    """Labor and machines of the quote. `crew_days` sums the crews' days; `wage_currency` is that
    of the crews' `hour_cost`. `labor_hours_low` and `labor_hours_high` are those of the sum.
    `choice` is None where the rates choose by nothing, or there is nothing to choose."""

    tasks: tuple[TaskHours, ...]
    crews: tuple[CrewTime, ...]
    labor_hours: Decimal
    labor_hours_low: Decimal
    labor_hours_high: Decimal
    crew_days: Decimal
    wage_currency: str | None = None
    machine_tasks: tuple[TaskHours, ...] = ()
    equipment: tuple[MachineTime, ...] = ()
    replaced: tuple[Replaced, ...] = ()
    choice: MachineChoice | None = None
