"""What a set of machines costs by the figures of the rates, and what it can't cost less than."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import NamedTuple

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.machine import ChooseBy, Hired, Machine, MachineCost
from service.core.job.rates import Crew, CrewDay, Rates, Waiting
from service.core.labor.crew_day import half_days
from service.core.labor.crew_stay import CrewStay
from service.core.labor.hours import TaskHours, Worker
from service.core.labor.machine_time import HeldMachine
from service.core.labor.sequencing.phases import Ordered
from service.core.money import counted, plain, total_of
from service.core.rounding import EXACT

Who = tuple[Worker, str]  # a crew or a machine by its id
NOBODY: Mapping[Who, Decimal] = MappingProxyType({})


class _Counted(NamedTuple):
    """So many hours, days or deliveries at a cost of each."""

    many: Fraction
    of: str
    each: Decimal


class CostPart(NamedTuple):
    """What one crew or machine costs, by the costs that machines are chosen by."""

    title: str
    counted: tuple[_Counted, ...]

    @property
    def cost(self) -> Fraction:
        """All of it together."""
        return sum((part.many * Fraction(part.each) for part in self.counted), Fraction(0))

    @property
    def words(self) -> str:
        """The same as an equation."""
        parts = [f"{_counted(p.many, p.of)} x {plain(p.each)}" for p in self.counted]
        return f"{self.title}: {' + '.join(parts) or '0'} = {plain(self.cost)}"


def cost_parts(ordered: Ordered, rates: Rates, by: ChooseBy) -> tuple[CostPart, ...]:
    """What work in its order costs: paid days of its crews, and hours, days and deliveries of its
    machines."""
    stays = ordered.crews.stays
    return (
        *(_crew(c, stays[c.id], by.crew_days[c.id]) for c in rates.crews if c.id in stays),
        *(_machine(held, by.machines[held.machine.id]) for held in ordered.held),
    )


def _crew(crew: Crew, stay: CrewStay, day: Decimal) -> CostPart:
    """Days of the whole crew; where only some of it are paid, by the part of it that is."""
    days = Fraction(stay.person_days) / crew.size
    return CostPart(crew.title, (_Counted(days, "day", day),))


def _machine(held: HeldMachine, cost: MachineCost) -> CostPart:
    counts = (
        _Counted(Fraction(held.hours), "hour", cost.hour),
        _Counted(Fraction(sum(held.stays)), "day", cost.day),
        _Counted(Fraction(len(held.stays)), "delivery", cost.delivery),
    )
    return CostPart(held.machine.title, tuple(count for count in counts if count.each))


def _counted(count: Fraction, of: str) -> str:
    if of == "delivery":
        return f"{plain(count)} {'delivery' if count == 1 else 'deliveries'}"
    return counted(count, of)


def least_cost(
    always: Mapping[Who, Decimal], work: Iterable[TaskHours], rates: Rates, by: ChooseBy
) -> Fraction:
    """What work can't cost less than, however it is ordered: half days of the crews that hold
    their hours, and each machine there for no longer than its hours take. `always` are hours that
    come with every set."""
    total = Fraction(0)
    for (worker, name), hours in hours_by_worker(work, rates, always).items():
        if worker == "crew":
            days = _least_days(rates.days[name], rates.waiting, hours)
            total += days * Fraction(by.crew_days[name])
        else:
            total += _least_machine(rates.machines[name], by.machines[name], hours)
    return total


def hours_by_worker(
    work: Iterable[TaskHours], rates: Rates, more: Mapping[Who, Decimal] = NOBODY
) -> Mapping[Who, Decimal]:
    """Hours of each crew and machine, those of who runs the machines among them."""
    found = dict(more)
    for task in work:
        machine = rates.machines[task.who] if task.worker == "machine" else None
        operator = machine.operator if machine else None
        for who in ((task.worker, task.who), *((("crew", operator),) if operator else ())):
            found[who] = EXACT.add(found.get(who, Decimal(0)), task.hours)
    return found


def _least_days(day: CrewDay, waiting: Waiting, hours: Decimal) -> Fraction:
    """The fewest half days: all of the crew is paid for each, or, where people may be elsewhere,
    for no more than they work. Nothing is bounded where no hour of its day is free for work."""
    if waiting != "paid":
        return Fraction(hours) / day.worked
    return Fraction(half_days(day, hours)) if day.free > 0 else Fraction(0)


def _least_machine(machine: Machine, cost: MachineCost, hours: Decimal) -> Fraction:
    idle = machine.cost.idle_days if isinstance(machine.cost, Hired) else Decimal(0)
    worked = rounding.days_begun(Fraction(hours) / Fraction(machine.hours_per_day))
    days = worked + rounding.days_begun(idle)
    counts = (hours, cost.hour), (Decimal(days), cost.day)
    return Fraction(total_of((cost.delivery, *(EXACT.multiply(n, each) for n, each in counts))))
