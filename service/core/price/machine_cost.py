"""Cost lines of machines: their hours or their hire, delivery and pick-up, fuel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import assert_never

from service.core.errors import Fault
from service.core.fraction import Fraction
from service.core.job.machine import Hired, Owned
from service.core.job.price_list import PriceList
from service.core.job.section import Group
from service.core.job.terms import Kind
from service.core.labor.hours import Labor, MachineTime
from service.core.money import counted, plain, total_of
from service.core.price.cost_line import CostLine, cost_of, find_price, price_missing, unit_mismatch
from service.core.price.hire import HireMix, WeekRate, cheapest_hire
from service.core.shares import Shares, add_up


@dataclass(frozen=True, slots=True, kw_only=True)
class _Need:
    """What one machine needs of one item, by name and what for (`title`); `others` are the same in
    other units that a price may be per."""

    item: str
    title: str
    group: Group
    kind: Kind
    quantity: Decimal
    unit: str
    others: tuple[tuple[str, Decimal], ...]
    shares: Shares
    how: tuple[str, ...]


def machine_lines(labor: Labor | None, prices: PriceList) -> list[CostLine | Fault]:
    """One line for all needs of one item, over all machines.

    A machine of one's own is paid by its hours (or days, or loads, as its price is per), by the
    days for which it is there, or by both; a hired one by the cheapest mix of weeks and days at
    these prices.
    """
    by_item: dict[str, list[_Need]] = {}
    faults: list[CostLine | Fault] = []
    for time in labor.equipment if labor else ():
        for need in _needs(time, prices):
            if isinstance(need, Fault):
                faults.append(need)
            else:
                by_item.setdefault(need.item, []).append(need)
    return [*faults, *(_line(by_item[item], prices) for item in sorted(by_item))]


def _needs(time: MachineTime, prices: PriceList) -> Iterator[_Need | Fault]:
    """Everything that a machine is paid for."""
    machine = time.machine
    match machine.cost:
        case Hired():
            yield from _hire(time, machine.cost, prices)
        case Owned():
            yield from _own(time, machine.cost)
        case _:
            assert_never(machine.cost)
    for item, what in ((machine.delivery_item, "delivery"), (machine.pick_up_item, "pick-up")):
        if item is not None:
            times = len(time.days_each)
            how = (f"{machine.title}: {what}, {'once' if times == 1 else f'{times} times'}",)
            need = _need(time, what, item, (Decimal(times), "each"), how)
            yield replace(need, group="delivery", kind="delivery")
    if machine.fuel_item is not None:
        how = (f"{machine.title}: fuel for {plain(time.hours)} machine-hours",)
        yield _need(time, "fuel", machine.fuel_item, (time.hours, "h"), how)


def _need(
    time: MachineTime,
    what: str | None,
    item: str,
    amount: tuple[Decimal, str],
    how: tuple[str, ...],
    *,
    others: tuple[tuple[str, Decimal], ...] = (),
) -> _Need:
    quantity, unit = amount
    return _Need(
        item=item,
        title=f"{time.machine.title}, {what}" if what else time.machine.title,
        group="equipment",
        kind="equipment",
        quantity=quantity,
        unit=unit,
        others=others,
        shares=time.shares,
        how=how,
    )


def _own(time: MachineTime, owned: Owned) -> Iterator[_Need]:
    """What it works, and the days for which it is there."""
    days = Decimal(time.days)
    if owned.item is not None:
        others = (("day", days), *((("load", time.loads),) if time.loads else ()))
        yield _need(time, None, owned.item, (time.hours, "h"), time.how, others=others)
    if owned.day_item is not None:
        yield _need(time, "days there", owned.day_item, (days, "day"), time.how)


def _hire(time: MachineTime, hired: Hired, prices: PriceList) -> Iterator[_Need | Fault]:
    """Weeks and days at the least cost, or why that can't be found."""
    day = _hire_price(hired.day_item, "day", prices)
    week = _hire_price(hired.week_item, "each", prices) if hired.week_item else None
    if isinstance(day, Fault) or isinstance(week, Fault):
        yield from (fault for fault in (day, week) if isinstance(fault, Fault))
        return
    rate = None if week is None else WeekRate(cost=week, days=hired.week_days)
    mixes = [(days, cheapest_hire(days, day, rate)) for days in time.days_each]
    how = (*time.how, *(_mixed(days, mix, hired) for days, mix in mixes))
    weeks, days = sum(mix.weeks for _, mix in mixes), sum(mix.days for _, mix in mixes)
    if weeks and hired.week_item:
        yield _need(time, "hire by the week", hired.week_item, (Decimal(weeks), "each"), how)
    if days:
        yield _need(time, "hire by the day", hired.day_item, (Decimal(days), "day"), how)


def _mixed(days: int, mix: HireMix, hired: Hired) -> str:
    """The mix of one hire, in words."""
    weeks = (
        f"{mix.weeks} x {counted(hired.week_days, 'day')} by the week + " if hired.week_item else ""
    )
    mixed = f"{weeks}{mix.days} by the day = {mix.cost:f}"
    return f"cheapest hire for {counted(days, 'day')}: {mixed}"


def _hire_price(item: str, per: str, prices: PriceList) -> Decimal | Fault:
    """What a day or a week of hire costs, or why nobody knows."""
    in_force = find_price(item, prices)
    if in_force is None:
        return price_missing(item, prices, per)
    if in_force.price.per != per:
        return unit_mismatch(item, in_force, per, (per,))
    return in_force.price.unit_cost


def _line(needs: Sequence[_Need], prices: PriceList) -> CostLine | Fault:
    """The line of one item, in the unit of its price, so that quantity x unit cost is its cost."""
    first = needs[0]
    in_force = find_price(first.item, prices)
    if in_force is None:
        return price_missing(first.item, prices, first.unit)
    amounts = [_in_unit(need, in_force.price.per) for need in needs]
    fitting = dict.fromkeys((first.unit, *(unit for unit, _ in first.others)))
    if any(need.unit != first.unit for need in needs) or None in amounts:
        return unit_mismatch(first.item, in_force, first.unit, tuple(fitting))
    quantity = total_of(amount for amount in amounts if amount is not None)
    unit = in_force.price.per
    cost, how = cost_of(quantity, unit, Fraction(quantity), in_force.price, prices.minor_places)
    return CostLine(
        item=first.item,
        description="; ".join(dict.fromkeys(need.title for need in needs)),
        group=first.group,
        kind=first.kind,
        quantity=quantity,
        quantity_unit=unit,
        unit_cost=in_force.price.unit_cost,
        per=in_force.price.per,
        cost=cost,
        from_list=not in_force.override,
        override=in_force.override,
        how=(*(words for need in needs for words in need.how), *how),
        shares=add_up(share for need in needs for share in need.shares),
    )


def _in_unit(need: _Need, per: str) -> Decimal | None:
    """How much of a need there is in the unit of a price; None where that can't be said."""
    return dict((*need.others, (need.unit, need.quantity))).get(per)
