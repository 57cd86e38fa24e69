"""Time of machines: hours of their tasks, days for which they are there, hours of who runs them.

A gap between days of need is held, or the machine is sent away and brought again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.machine import ChooseBy, Hired, Machine, MachineCost
from service.core.job.rates import Rates
from service.core.labor.hours import Labor, MachineTime, TaskHours, hours_by_wall
from service.core.labor.spread import range_of_sum, sum_of
from service.core.measure import number
from service.core.money import counted, plain, total_of
from service.core.rounding import EXACT

Days = tuple[int, int]  # first and last


def operator_hours(rates: Rates, work: Sequence[TaskHours]) -> Iterator[TaskHours]:
    """Person-hours of one operator for every machine-hour, where a crew runs the machine."""
    for task in work:
        machine = rates.machines[task.who]
        if machine.operator is not None:
            told = partial(_operator_told, machine, task)
            yield replace(task, worker="crew", who=machine.operator, told=told)


def _operator_told(machine: Machine, task: TaskHours) -> tuple[str, ...]:
    return (*task.how, f"one operator of {machine.title}: {plain(task.hours)} h")


def machine_times(rates: Rates, work: Sequence[TaskHours]) -> tuple[MachineTime, ...]:
    """Time of every machine that has something to do, in the order of the rates."""
    times = []
    for machine in rates.machines.values():
        tasks = [task for task in work if task.who == machine.id]
        if tasks:
            times.append(_time(machine, tasks, rates.common_share))
    return tuple(times)


def hold_machines(
    labor: Labor, needs: Mapping[str, Sequence[Days]], choose_by: ChooseBy | None = None
) -> Labor:
    """The labor with machines held over the order of work: `needs` are the days on which each
    machine is needed, without those between. With `choose_by` a machine is sent away over a gap
    where that costs less. It is never there for fewer days than its hours take."""
    costs = choose_by.machines if choose_by else {}
    held = tuple(
        _held(time, needs[time.machine.id], costs.get(time.machine.id))
        if time.machine.id in needs
        else time
        for time in labor.equipment
    )
    return replace(labor, equipment=held)


def _held(time: MachineTime, needs: Sequence[Days], cost: MachineCost | None) -> MachineTime:
    """A stay for each time that it is brought; days that its hours take beyond them are added to
    the last."""
    stays, words = stays_of(needs, cost)
    days = [last - first + 1 for first, last in stays]
    days[-1] += max(0, time.days - sum(days))
    total = sum(days)
    if len(days) > 1:
        listed = " + ".join(counted(each, "day") for each in days)
        words = (*words, f"brought {len(days)} times: {listed} = {counted(total, 'day')}")
    elif total > time.days:
        words = (*words, f"held from first to last day of need: {counted(total, 'day')}")
    stays_apart = tuple(days) if len(days) > 1 else ()
    return replace(time, days=total, stays=stays_apart, how=(*time.how, *words))


def _time(machine: Machine, tasks: Sequence[TaskHours], common_share: Decimal) -> MachineTime:
    total = sum_of(tasks, common_share)
    hours = total.hours
    idle = machine.cost.idle_days if isinstance(machine.cost, Hired) else Decimal(0)
    worked = rounding.days_begun(Fraction(hours) / Fraction(machine.hours_per_day))
    days = worked + rounding.days_begun(idle)
    each_day = f"{plain(hours)} h / {plain(machine.hours_per_day)} h a day"
    standing = f" + {number(idle)} idle = {counted(days, 'day')}" if idle else ""
    return MachineTime(
        machine=machine,
        hours=hours,
        hours_low=total.low,
        hours_high=total.high,
        days=days,
        loads=_loads(tasks),
        shares=hours_by_wall(tasks),
        how=(
            f"{' + '.join(plain(task.hours) for task in tasks)} = {plain(hours)} machine-hours"
            if len(tasks) > 1
            else f"{plain(hours)} machine-hours",
            *range_of_sum(total, common_share),
            f"{each_day}: {counted(worked, 'day')} begun{standing}",
        ),
    )


def _loads(tasks: Sequence[TaskHours]) -> Decimal:
    return total_of(Decimal(number(task.quantity)) for task in tasks if task.dimension == "load")


def joined(needs: Iterable[Days]) -> tuple[Days, ...]:
    """Stretches of days without a day between them put together, in order."""
    found: list[Days] = []
    for first, last in sorted(needs):
        if found and first <= found[-1][1] + 1:
            found[-1] = (found[-1][0], max(last, found[-1][1]))
        else:
            found.append((first, last))
    return tuple(found)


def stays_of(
    needs: Sequence[Days], cost: MachineCost | None
) -> tuple[tuple[Days, ...], tuple[str, ...]]:
    """From when to when a machine is there, each time that it comes, and a word on each gap.

    A gap is held unless another delivery costs less than the machine does on its days; without
    `cost` every gap is held, and there is no word on it.
    """
    stays, words = list(needs[:1]), []
    for first, last in needs[1:]:
        gap = first - stays[-1][1] - 1
        held = True
        if cost is not None:
            held = EXACT.multiply(cost.day, gap) <= cost.delivery
            words.append(_gap(gap, cost, held=held))
        if held:
            stays[-1] = (stays[-1][0], last)
        else:
            stays.append((first, last))
    return tuple(stays), tuple(words)


def _gap(days: int, cost: MachineCost, *, held: bool) -> str:
    held_cost = plain(EXACT.multiply(cost.day, days))
    compared = f"{held_cost} is {'not ' if held else ''}more than another delivery at"
    done = "held over" if held else "sent away for"
    each = f"{counted(days, 'day')} x {plain(cost.day)} = {compared} {plain(cost.delivery)}"
    return f"{done} a gap of {each}"
