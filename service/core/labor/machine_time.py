"""Time of machines: hours of their tasks, days for which they are there, hours of who runs them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from service.core import rounding
from service.core.job.machine import Hired, Machine
from service.core.job.rates import Rates
from service.core.labor.hours import Labor, MachineHours, MachineTime, TaskHours
from service.core.measure import number
from service.core.money import plain, total_of
from service.core.shares import Shares
from service.core.three_point import low_and_high


def operator_hours(rates: Rates, work: Sequence[MachineHours]) -> Iterator[TaskHours]:
    """Person-hours of one operator for every machine-hour, where a crew runs the machine."""
    for task in work:
        machine = rates.machines[task.machine]
        if machine.operator is not None:
            yield TaskHours(
                task=task.task,
                title=task.title,
                crew=machine.operator,
                quantity=task.quantity,
                dimension=task.dimension,
                hours=task.hours,
                hours_low=task.hours_low,
                hours_high=task.hours_high,
                shares=task.shares,
                how=(*task.how, f"one operator of {machine.title}: {plain(task.hours)} h"),
                variance=task.variance,
            )


def machine_times(rates: Rates, work: Sequence[MachineHours]) -> tuple[MachineTime, ...]:
    """Time of every machine that has something to do, in the order of the rates."""
    times = []
    for machine in rates.machines.values():
        tasks = [task for task in work if task.machine == machine.id]
        if tasks:
            times.append(_time(machine, tasks))
    return tuple(times)


def hold_machines(labor: Labor, spans: Mapping[str, Fraction]) -> Labor:
    """The labor with machines held over the order of work: `spans` are working days from the
    beginning of the first use to the end of the last, by machine. A machine is never there for
    fewer days than its hours take."""
    held = tuple(
        _held(time, spans[time.machine.id]) if time.machine.id in spans else time
        for time in labor.equipment
    )
    return replace(labor, equipment=held)


def _held(time: MachineTime, span: Fraction) -> MachineTime:
    days = rounding.days_begun(span)
    if days <= time.days:
        return time
    return replace(
        time, days=days, how=(*time.how, f"held from first to last day of need: {days} days")
    )


def _time(machine: Machine, tasks: Sequence[MachineHours]) -> MachineTime:
    hours = total_of(task.hours for task in tasks)
    variance = sum((task.variance for task in tasks), Fraction(0))
    low, high = (rounding.hours(point) for point in low_and_high(hours, variance))
    idle = machine.cost.idle_days if isinstance(machine.cost, Hired) else Decimal(0)
    worked = rounding.days_begun(Fraction(hours) / Fraction(machine.hours_per_day))
    days = worked + rounding.days_begun(idle)
    begun = "day" if worked == 1 else "days"
    each_day = f"{plain(hours)} h / {plain(machine.hours_per_day)} h a day"
    standing = f" + {number(idle)} idle = {days} days" if idle else ""
    return MachineTime(
        machine=machine,
        hours=hours,
        hours_low=low,
        hours_high=high,
        days=days,
        loads=_loads(tasks),
        shares=_shares(tasks),
        how=(
            f"{' + '.join(plain(task.hours) for task in tasks)} = {plain(hours)} machine-hours"
            if len(tasks) > 1
            else f"{plain(hours)} machine-hours",
            f"{each_day}: {worked} {begun} begun{standing}",
        ),
    )


def _loads(tasks: Sequence[MachineHours]) -> Decimal:
    return total_of(Decimal(number(task.quantity)) for task in tasks if task.dimension == "load")


def _shares(tasks: Sequence[MachineHours]) -> Shares:
    """Machine-hours wall by wall; hours of no wall ride along with the others."""
    by_wall: dict[str, list[float]] = {}
    for task in tasks:
        whole = math.fsum(net for _, net in task.shares)
        for name, net in task.shares if whole else ():
            by_wall.setdefault(name, []).append(float(task.hours) * net / whole)
    return tuple((name, math.fsum(by_wall[name])) for name in sorted(by_wall))
