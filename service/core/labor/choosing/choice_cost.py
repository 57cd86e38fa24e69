"""What a set of machines costs by the figures of the rates, and what it can't cost less than."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from types import MappingProxyType

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.machine import ChooseBy, Hired, Machine, MachineCost
from service.core.job.rates import Crew, Rates
from service.core.labor.crew_day import free_hours, half_days, worked_hours
from service.core.labor.hours import CrewTime, Labor, MachineTime, TaskHours, Worker
from service.core.money import counted, plain

Who = tuple[Worker, str]  # a crew or a machine by its id
NOBODY: Mapping[Who, Fraction] = MappingProxyType({})


def cost_of(labor: Labor, rates: Rates, by: ChooseBy) -> tuple[Fraction, tuple[str, ...]]:
    """The cost of labor in its order of work: paid days of its crews, and hours, days and
    deliveries of its machines; and its parts in words."""
    sizes = {crew.id: crew.size for crew in rates.crews}
    parts = [
        *(_crew(time, sizes[time.crew], by.crew_days[time.crew]) for time in labor.crews),
        *(_machine(time, by.machines[time.machine.id]) for time in labor.equipment),
    ]
    return sum((cost for cost, _ in parts), Fraction(0)), tuple(words for _, words in parts)


def _crew(time: CrewTime, size: int, day: Decimal) -> tuple[Fraction, str]:
    """Days of the whole crew; where only some of it are paid, by the part of it that is."""
    days = Fraction(time.person_days) / size
    cost = days * Fraction(day)
    return cost, f"{time.title}: {counted(days, 'day')} x {plain(day)} = {plain(cost)}"


def _machine(time: MachineTime, cost: MachineCost) -> tuple[Fraction, str]:
    counts = ((time.hours, "hour"), (Decimal(time.days), "day"), (_times(time), "delivery"))
    parts = [
        (Fraction(count) * Fraction(each), f"{_counted(count, of)} x {plain(each)}")
        for (count, of), each in zip(counts, (cost.hour, cost.day, cost.delivery), strict=True)
        if each
    ]
    total = sum((part for part, _ in parts), Fraction(0))
    return total, f"{time.machine.title}: {' + '.join(w for _, w in parts) or '0'} = {plain(total)}"


def _times(time: MachineTime) -> Decimal:
    return Decimal(len(time.days_each))


def _counted(count: Decimal, of: str) -> str:
    if of == "delivery":
        return f"{plain(count)} {'delivery' if count == 1 else 'deliveries'}"
    return counted(count, of)


def least_cost(
    always: Mapping[Who, Fraction], work: Iterable[TaskHours], rates: Rates, by: ChooseBy
) -> Fraction:
    """What work can't cost less than, however it is ordered: half days of the crews that hold
    their hours, and each machine there for no longer than its hours take. `always` are hours that
    come with every set."""
    crews = {crew.id: crew for crew in rates.crews}
    total = Fraction(0)
    for (worker, name), hours in hours_by_worker(work, rates, always).items():
        if worker == "crew":
            total += _least_days(crews[name], rates, hours) * Fraction(by.crew_days[name])
        else:
            total += _least_machine(rates.machines[name], by.machines[name], hours)
    return total


def hours_by_worker(
    work: Iterable[TaskHours], rates: Rates, more: Mapping[Who, Fraction] = NOBODY
) -> Mapping[Who, Fraction]:
    """Hours of each crew and machine, those of who runs the machines among them."""
    found = dict(more)
    for task in work:
        machine = rates.machines[task.who] if task.worker == "machine" else None
        operator = machine.operator if machine else None
        for who in ((task.worker, task.who), *((("crew", operator),) if operator else ())):
            found[who] = found.get(who, Fraction(0)) + Fraction(task.hours)
    return found


def _least_days(crew: Crew, rates: Rates, hours: Fraction) -> Fraction:
    """The fewest half days: all of the crew is paid for each, or, where people may be elsewhere,
    for no more than they work. Nothing is bounded where no hour of its day is free for work."""
    if rates.waiting != "paid":
        return hours / worked_hours(crew)
    free = free_hours(crew, rates.fixed)
    return Fraction(half_days(crew, rates.fixed, hours)) if free > 0 else Fraction(0)


def _least_machine(machine: Machine, cost: MachineCost, hours: Fraction) -> Fraction:
    idle = machine.cost.idle_days if isinstance(machine.cost, Hired) else Decimal(0)
    worked = rounding.days_begun(hours / Fraction(machine.hours_per_day))
    days = worked + rounding.days_begun(idle)
    return hours * Fraction(cost.hour) + days * Fraction(cost.day) + Fraction(cost.delivery)
