"""Time of machines: hours of their tasks, days for which they are there, hours of who runs them.

A gap between days of need is held, or the machine is sent away and brought again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.machine import Hired, Machine, MachineCost
from service.core.job.rates import Rates
from service.core.labor.hours import MachineTime, TaskHours, hours_by_wall
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


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldMachine:
    """A machine over the order of work: its hours, the days that they begin and with those on
    which it stands idle, and the days of each time that it is brought. `gaps` are words on gaps
    between days of need."""

    machine: Machine
    hours: Decimal
    worked: int
    fewest: int
    stays: tuple[int, ...]
    gaps: tuple[str, ...] = ()


def hold_machines(
    work: Sequence[TaskHours], rates: Rates, needs: Mapping[str, Sequence[Days]]
) -> tuple[HeldMachine, ...]:
    """Every machine that has something to do, in the order of the rates, held over the order of
    work: `needs` are the days on which each is needed, without those between. Where the rates
    choose by costs a machine is sent away over a gap if that costs less. It is never there for
    fewer days than its hours take."""
    costs = rates.choose_by.machines if rates.choose_by else {}
    return tuple(
        _held(machine, tasks, needs.get(machine.id, ()), costs.get(machine.id))
        for machine in rates.machines.values()
        if (tasks := _tasks_of(machine, work))
    )


def _tasks_of(machine: Machine, work: Sequence[TaskHours]) -> list[TaskHours]:
    return [task for task in work if task.who == machine.id]


def _held(
    machine: Machine, tasks: Sequence[TaskHours], needs: Sequence[Days], cost: MachineCost | None
) -> HeldMachine:
    """A stay for each time that it is brought; days that its hours take beyond them are added to
    the last."""
    hours = total_of(task.hours for task in tasks)
    worked = rounding.days_begun(Fraction(hours) / Fraction(machine.hours_per_day))
    fewest = worked + rounding.days_begun(_idle_days(machine))
    stays, gaps = stays_of(needs, cost)
    days = [last - first + 1 for first, last in stays] or [0]
    days[-1] += max(0, fewest - sum(days))
    return HeldMachine(
        machine=machine, hours=hours, worked=worked, fewest=fewest, stays=tuple(days), gaps=gaps
    )


def _idle_days(machine: Machine) -> Decimal:
    return machine.cost.idle_days if isinstance(machine.cost, Hired) else Decimal(0)


def machine_time(
    held: HeldMachine, work: Sequence[TaskHours], common_share: Decimal
) -> MachineTime:
    """The time of a machine with its range, its loads and its arithmetic in words."""
    tasks = _tasks_of(held.machine, work)
    total = sum_of(tasks, common_share)
    return MachineTime(
        machine=held.machine,
        hours=held.hours,
        hours_low=total.low,
        hours_high=total.high,
        days=sum(held.stays),
        loads=_loads(tasks),
        shares=hours_by_wall(tasks),
        stays=held.stays if len(held.stays) > 1 else (),
        how=(
            f"{' + '.join(plain(task.hours) for task in tasks)} = {plain(held.hours)} machine-hours"
            if len(tasks) > 1
            else f"{plain(held.hours)} machine-hours",
            *range_of_sum(total, common_share),
            *_days_told(held),
        ),
    )


def _days_told(held: HeldMachine) -> Iterator[str]:
    """Days that the hours begin, gaps, and the days of each time that it is brought, in words."""
    idle, total = _idle_days(held.machine), sum(held.stays)
    each_day = f"{plain(held.hours)} h / {plain(held.machine.hours_per_day)} h a day"
    standing = f" + {number(idle)} idle = {counted(held.fewest, 'day')}" if idle else ""
    yield f"{each_day}: {counted(held.worked, 'day')} begun{standing}"
    yield from held.gaps
    if len(held.stays) > 1:
        listed = " + ".join(counted(each, "day") for each in held.stays)
        yield f"brought {len(held.stays)} times: {listed} = {counted(total, 'day')}"
    elif total > held.fewest:
        yield f"held from first to last day of need: {counted(total, 'day')}"


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
