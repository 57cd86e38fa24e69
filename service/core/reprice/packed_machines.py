"""Machines of a quote as they are packed: lines by item, and the hires that fill some of them."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import assert_never

from service.core.job.machine import Hired, Owned
from service.core.labor.hours import Labor, MachineTime
from service.core.reprice.packed_header import PricingIrregularError
from service.core.reprice.packed_line import InUnit, PackedLine, sum_of


@dataclass(slots=True)
class Machines:
    """Lines of machines by item, and the hires that fill some of them."""

    lines: dict[str, PackedLine] = field(default_factory=dict)
    hires: list[tuple[str, str | None, int, int]] = field(default_factory=list)


def machine_lines(labor: Labor | None) -> Machines:
    """Lines of what is hired, owned, brought and burned. Raises PricingIrregularError."""
    held = Machines()
    for time in labor.equipment if labor else ():
        _add_machine(held, time)
    return held


def _add_machine(held: Machines, time: MachineTime) -> None:
    machine = time.machine
    match machine.cost:
        case Hired():
            _add_hire(held, time, machine.cost)
        case Owned():
            _add_own(held, time, machine.cost)
        case _:
            assert_never(machine.cost)
    for item in (machine.delivery_item, machine.pick_up_item):
        if item is not None:
            times = (("each", Decimal(len(time.days_each))),)
            _add(held, PackedLine(item=item, group="delivery", kind="delivery", amounts=times))
    if machine.fuel_item is not None:
        _add(held, _equipment(machine.fuel_item, (("h", time.hours),)))


def _add_own(held: Machines, time: MachineTime, owned: Owned) -> None:
    days = ("day", Decimal(time.days))
    if owned.item is not None:
        loads = (("load", time.loads),) if time.loads else ()
        _add(held, _equipment(owned.item, (("h", time.hours), days, *loads)))
    if owned.day_item is not None:
        _add(held, _equipment(owned.day_item, (days,)))


def _add_hire(held: Machines, time: MachineTime, hired: Hired) -> None:
    items = [(hired.day_item, "day")]
    if hired.week_item is not None:
        items.append((hired.week_item, "each"))
    for item, unit in items:
        _add(held, _equipment(item, ((unit, Decimal(0)),), hired=True))
    for days in time.days_each:
        held.hires.append((hired.day_item, hired.week_item, days, hired.week_days))


def _equipment(item: str, amounts: tuple[InUnit, ...], *, hired: bool = False) -> PackedLine:
    return PackedLine(item=item, group="equipment", kind="equipment", amounts=amounts, hired=hired)


def _way(line: PackedLine) -> tuple[str, bool, str]:
    """How a line is counted."""
    return line.group, line.hired, line.amounts[0][0]


def _add(held: Machines, new: PackedLine) -> None:
    """Add a need of an item to its line: in the same first unit, and of the same group."""
    old = held.lines.get(new.item)
    if old is None:
        held.lines[new.item] = new
        return
    if _way(old) != _way(new):
        raise PricingIrregularError
    amounts = dict(new.amounts)
    together = tuple(
        (unit, sum_of((amount, amounts[unit]))) for unit, amount in old.amounts if unit in amounts
    )
    held.lines[new.item] = PackedLine(
        item=new.item, group=old.group, kind=old.kind, amounts=together, hired=old.hired
    )
