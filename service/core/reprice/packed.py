"""A quote's pricing packed into compact scaled integers (packed_format.py says the form).

Everything that depends on a price list later is kept in a way that leaves nothing to think about:
amounts exact, shares as fractions, the roll-up that the quote was issued with.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import assert_never

import numpy as np

from service.core.fraction import Fraction
from service.core.job.line_order import in_order
from service.core.job.machine import Hired, Owned
from service.core.job.price_list import PACK, ItemPrice
from service.core.job.section import Group
from service.core.job.terms import Extra, Kind
from service.core.labor.hours import CrewTime, Labor, MachineTime
from service.core.price.price import Price
from service.core.reprice import packed_format as form
from service.core.reprice.packed_header import (
    PricingIrregularError,
    Records,
    bounded,
    keep_price,
    keep_terms,
)
from service.core.reprice.pricing_inputs import PricingInputs
from service.core.takeoff.haulage import haul_orders
from service.core.takeoff.quantities import QuantityLine, ordered_line

_Amount = tuple[str, Decimal]  # unit, how much of it


@dataclass(frozen=True, slots=True, kw_only=True)
class _Packed:
    """One cost line before it is priced: its amount in each unit in which it may be."""

    item: str
    group: Group
    kind: Kind
    amounts: tuple[_Amount, ...]
    own: tuple[ItemPrice, int] | None = None
    hired: bool = False


@dataclass(slots=True)
class _Machines:
    """Lines of machines by item, and the hires that fill some of them."""

    lines: dict[str, _Packed] = field(default_factory=dict)
    hires: list[tuple[str, str | None, int, int]] = field(default_factory=list)


def packed_size(pricing: bytes) -> int:
    """How many of the bytes are packed; the inputs as a whole stand after them."""
    header = np.frombuffer(pricing, form.HEADER, count=1)[0]
    counted = zip(form.COUNTED, form.SECTIONS, strict=True)
    return form.HEADER.itemsize + sum(int(header[name]) * kind.itemsize for name, kind in counted)


def pack_inputs(inputs: PricingInputs, price: Price) -> bytes:
    """The packed pricing of a quote that was priced at `price`.

    A quote that can't be packed (an item paid in two units at once, sums beyond 2^62) is marked
    so, and its roll-up is kept all the same.
    """
    header = np.zeros((), form.HEADER)
    header["format"] = form.FORMAT
    header["places"] = inputs.minor_places
    header["currency"] = inputs.currency.encode("ascii")
    keep_price(header, price, inputs.minor_places)
    try:
        sections = _sections(inputs)
        keep_terms(header, inputs)
    except PricingIrregularError:
        header["flags"] = form.IRREGULAR
        return header.tobytes()
    for name, section in zip(form.COUNTED, sections, strict=True):
        header[name] = len(section)
    return header.tobytes() + b"".join(section.tobytes() for section in sections)


def _sections(inputs: PricingInputs) -> tuple[Records, ...]:
    """Lines in the order of the price, and what belongs to some of them."""
    machines = _machines(inputs.labor)
    lines = in_order(
        [
            *(_material(_as_packed(line, inputs)) for line in inputs.lines),
            *_crews(inputs.labor, inputs.currency),
            *(machines.lines[item] for item in sorted(machines.lines)),
            *(_extra(extra, inputs.minor_places) for extra in inputs.extras),
        ]
    )
    if not lines or len(lines) >= form.NO_LINE:
        raise PricingIrregularError
    places = {line.item: at for at, line in enumerate(lines) if line.hired}
    hires = [
        (places[day], form.NO_LINE if week is None else places[week], days, week_days)
        for day, week, days, week_days in machines.hires
    ]
    rows, others, owns = _rows(lines, inputs)
    return (
        np.array(rows, form.LINE),
        np.array(others, form.OTHER),
        np.array(owns, form.OWN_PRICE),
        np.array(hires, form.HIRE),
    )


def _rows(
    lines: Sequence[_Packed], inputs: PricingInputs
) -> tuple[list[tuple[int, ...]], list[tuple[int, ...]], list[tuple[int, ...]]]:
    rows: list[tuple[int, ...]] = []
    others: list[tuple[int, ...]] = []
    owns: list[tuple[int, ...]] = []
    for at, line in enumerate(lines):
        own = line.own
        if line.item in inputs.overrides and (own is None or own[1] != form.FIXED):
            own = (inputs.overrides[line.item], form.OVERRIDE)
        if own:
            owns.append((_scaled_cost(own[0].unit_cost), form.unit_code(own[0].per), own[1]))
        (unit, amount), *more = line.amounts
        scaled, places = _scaled(amount)
        codes = (form.GROUP_CODES.index(line.group), form.KIND_CODES.index(line.kind))
        number = len(owns) if own else 0
        key = form.item_key(line.item)
        rows.append(
            (key, scaled, places, form.unit_code(unit), *codes, number, 1 if line.hired else 0)
        )
        for other_unit, other in more:
            scaled, places = _scaled(other)
            others.append((at, form.unit_code(other_unit), places, scaled))
    return rows, others, owns


def _scaled(amount: Decimal) -> tuple[int, int]:
    """An amount as a whole number of 10^-places."""
    exact = Fraction(amount)
    places = next((n for n in range(form.MOST_PLACES + 1) if 10**n % exact.denominator == 0), None)
    if places is None:
        raise PricingIrregularError
    return bounded((exact * 10**places).numerator), places


def _scaled_cost(cost: Decimal) -> int:
    scaled = Fraction(cost) * 10**form.UNIT_COST_PLACES
    if scaled.denominator != 1:
        raise PricingIrregularError
    return bounded(scaled.numerator)


def _as_packed(line: QuantityLine, inputs: PricingInputs) -> QuantityLine:
    """A line without what a price list says of its stock: quotes on a list that has an item in
    stock go the ordinary way."""
    if line.ways is None:
        return line
    own = inputs.overrides.get(line.item)
    return ordered_line(line, line.ways.charged if own and own.stock else line.ways.bought)


def _material(line: QuantityLine) -> _Packed:
    """Something bought; what comes in packs may be priced by the pack or by what is in it, what
    trucks carry by volume, weight or load."""
    amounts: tuple[_Amount, ...] = ((line.order_unit, line.order),)
    if line.haulage is not None:
        amounts = tuple((each.unit.symbol, each.amount) for each in haul_orders(line.haulage))
    elif line.sold_per == PACK:
        amounts = ((PACK, line.order), *amounts)
        if line.pack_unit is not None and line.pack_content is not None:
            content = Fraction(line.order) * Fraction(line.pack_content)
            amounts = (*amounts, (line.pack_unit, _decimal(content)))
    return _Packed(item=line.item, group=line.group, kind=line.kind, amounts=amounts)


def _decimal(exact: Fraction) -> Decimal:
    """The decimal that two decimals' product is."""
    scaled = exact * 10**form.MOST_PLACES
    if scaled.denominator != 1:
        raise PricingIrregularError
    return Decimal(bounded(scaled.numerator)).scaleb(-form.MOST_PLACES)


def _crews(labor: Labor | None, currency: str) -> list[_Packed]:
    """One line for all crews of one item: paid hours, or days of a person."""
    wages = labor is not None and labor.wage_currency in (None, currency)
    by_item: dict[str, list[CrewTime]] = {}
    for crew in labor.crews if labor else ():
        by_item.setdefault(crew.item, []).append(crew)
    return [_crew(item, by_item[item], wages=wages) for item in sorted(by_item)]


def _crew(item: str, crews: Sequence[CrewTime], *, wages: bool) -> _Packed:
    paid = _sum(crew.paid_hours for crew in crews)
    days = _sum(crew.person_days for crew in crews)
    costs = list(dict.fromkeys(crew.hour_cost for crew in crews))
    own = None
    if wages and len(costs) == 1 and costs[0] is not None:
        own = (ItemPrice(unit_cost=costs[0], per="h"), form.WAGE)
    amounts = (("h", paid), ("day", days))
    return _Packed(item=item, group="labor", kind="labor", amounts=amounts, own=own)


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return _decimal(sum((Fraction(amount) for amount in amounts), Fraction(0)))


def _extra(extra: Extra, places: int) -> _Packed:
    """A sum as it stands is so many minor units at 1."""
    cost = _decimal(Fraction(extra.cost))
    if (Fraction(cost) * 10**places).denominator != 1:
        raise PricingIrregularError
    return _Packed(
        item="",
        group="extras",
        kind=extra.kind,
        amounts=(("each", cost),),
        own=(ItemPrice(unit_cost=Decimal(1), per="each"), form.FIXED),
    )


def _machines(labor: Labor | None) -> _Machines:
    held = _Machines()
    for time in labor.equipment if labor else ():
        _add_machine(held, time)
    return held


def _add_machine(held: _Machines, time: MachineTime) -> None:
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
            _add(held, _Packed(item=item, group="delivery", kind="delivery", amounts=times))
    if machine.fuel_item is not None:
        _add(held, _equipment(machine.fuel_item, (("h", time.hours),)))


def _add_own(held: _Machines, time: MachineTime, owned: Owned) -> None:
    days = ("day", Decimal(time.days))
    if owned.item is not None:
        loads = (("load", time.loads),) if time.loads else ()
        _add(held, _equipment(owned.item, (("h", time.hours), days, *loads)))
    if owned.day_item is not None:
        _add(held, _equipment(owned.day_item, (days,)))


def _add_hire(held: _Machines, time: MachineTime, hired: Hired) -> None:
    items = [(hired.day_item, "day")]
    if hired.week_item is not None:
        items.append((hired.week_item, "each"))
    for item, unit in items:
        _add(held, _equipment(item, ((unit, Decimal(0)),), hired=True))
    for days in time.days_each:
        held.hires.append((hired.day_item, hired.week_item, days, hired.week_days))


def _equipment(item: str, amounts: tuple[_Amount, ...], *, hired: bool = False) -> _Packed:
    return _Packed(item=item, group="equipment", kind="equipment", amounts=amounts, hired=hired)


def _way(line: _Packed) -> tuple[str, bool, str]:
    """How a line is counted."""
    return line.group, line.hired, line.amounts[0][0]


def _add(held: _Machines, new: _Packed) -> None:
    """Add a need of an item to its line: in the same first unit, and of the same group."""
    old = held.lines.get(new.item)
    if old is None:
        held.lines[new.item] = new
        return
    if _way(old) != _way(new):
        raise PricingIrregularError
    amounts = dict(new.amounts)
    together = tuple(
        (unit, _sum((amount, amounts[unit]))) for unit, amount in old.amounts if unit in amounts
    )
    held.lines[new.item] = _Packed(
        item=new.item, group=old.group, kind=old.kind, amounts=together, hired=old.hired
    )
