"""Pricing inputs as bytes that are kept with a saved quote, and back, exactly.

Compressed JSON with short keys: amounts as text, shares as the floats they are.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any, assert_never

from service.core.job.machine import Hired, Machine, Owned
from service.core.job.price_list import ItemPrice
from service.core.job.terms import Extra, Profit, Tax, Terms
from service.core.labor.hours import CrewTime, Labor, MachineTime
from service.core.reprice.pricing_inputs import PricingInputs
from service.storage.kept_lines import amount_of, keep_line, read_line, shares_of, text_of

_Json = dict[str, Any]
_OWN, _HIRED = "own", "hired"


def keep_inputs(inputs: PricingInputs) -> bytes:
    """Pricing inputs as bytes."""
    document = {
        "currency": inputs.currency,
        "minor_places": inputs.minor_places,
        "lines": [keep_line(line) for line in inputs.lines],
        "labor": None if inputs.labor is None else _labor(inputs.labor),
        "terms": None if inputs.terms is None else _terms(inputs.terms),
        "extras": [[e.description, e.kind, str(e.cost), e.reason] for e in inputs.extras],
        "wall_names": list(inputs.wall_names),
        "overrides": {item: _item_price(price) for item, price in inputs.overrides.items()},
    }
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return zlib.compress(text.encode("utf-8", "surrogatepass"))


def read_inputs(kept: bytes) -> PricingInputs:
    """Bytes that were kept as pricing inputs again."""
    held: _Json = json.loads(zlib.decompress(kept).decode("utf-8", "surrogatepass"))
    return PricingInputs(
        currency=held["currency"],
        minor_places=held["minor_places"],
        lines=tuple(map(read_line, held["lines"])),
        labor=None if held["labor"] is None else _read_labor(held["labor"]),
        terms=None if held["terms"] is None else _read_terms(held["terms"]),
        extras=tuple(
            Extra(description=text, kind=kind, cost=Decimal(cost), reason=reason)
            for text, kind, cost, reason in held["extras"]
        ),
        wall_names=tuple(held["wall_names"]),
        overrides=MappingProxyType(
            {item: _read_item_price(price) for item, price in held["overrides"].items()}
        ),
    )


def _labor(labor: Labor) -> _Json:
    return {
        "crew_days": str(labor.crew_days),
        "wage_currency": labor.wage_currency,
        "crews": [_crew(crew) for crew in labor.crews],
        "equipment": [_machine_time(time) for time in labor.equipment],
    }


def _read_labor(held: _Json) -> Labor:
    """Labor as pricing reads it: its tasks stand in the answer."""
    crews = tuple(map(_read_crew, held["crews"]))
    hours = sum((crew.hours for crew in crews), Decimal(0))
    return Labor(
        tasks=(),
        crews=crews,
        labor_hours=hours,
        labor_hours_low=hours,
        labor_hours_high=hours,
        crew_days=Decimal(held["crew_days"]),
        wage_currency=held["wage_currency"],
        equipment=tuple(map(_read_machine_time, held["equipment"])),
    )


def _crew(crew: CrewTime) -> _Json:
    return {
        "names": [crew.crew, crew.title, crew.item],
        "times": [str(t) for t in (crew.hours, crew.days, crew.paid_hours, crew.person_days)],
        "shares": crew.shares,
        "how": crew.how,
        "wage": [text_of(crew.hour_cost), crew.hour_cost_how],
    }


def _read_crew(held: _Json) -> CrewTime:
    name, title, item = held["names"]
    hours, days, paid, person_days = map(Decimal, held["times"])
    return CrewTime(
        crew=name,
        title=title,
        item=item,
        hours=hours,
        days=days,
        paid_hours=paid,
        person_days=person_days,
        shares=shares_of(held["shares"]),
        how=tuple(held["how"]),
        hour_cost=amount_of(held["wage"][0]),
        hour_cost_how=held["wage"][1],
    )


def _machine_time(time: MachineTime) -> _Json:
    machine = time.machine
    return {
        "names": [machine.id, machine.title],
        "cost": _machine_cost(machine.cost),
        "with": [machine.delivery_item, machine.pick_up_item, machine.fuel_item],
        "hours": [str(time.hours), str(time.hours_low), str(time.hours_high)],
        "days": time.days,
        "stays": time.stays,
        "loads": str(time.loads),
        "shares": time.shares,
        "how": time.how,
    }


def _read_machine_time(held: _Json) -> MachineTime:
    delivery, pick_up, fuel = held["with"]
    low, expected, high = held["hours"][1], held["hours"][0], held["hours"][2]
    return MachineTime(
        machine=Machine(
            id=held["names"][0],
            title=held["names"][1],
            cost=_read_machine_cost(held["cost"]),
            delivery_item=delivery,
            pick_up_item=pick_up,
            fuel_item=fuel,
        ),
        hours=Decimal(expected),
        hours_low=Decimal(low),
        hours_high=Decimal(high),
        days=held["days"],
        stays=tuple(held.get("stays", ())),
        loads=Decimal(held["loads"]),
        shares=shares_of(held["shares"]),
        how=tuple(held["how"]),
    )


def _machine_cost(cost: Owned | Hired) -> list[Any]:
    match cost:
        case Owned():
            return [_OWN, cost.item, cost.day_item]
        case Hired():
            return [_HIRED, cost.day_item, cost.week_item, cost.week_days]
        case _:
            assert_never(cost)


def _read_machine_cost(held: list[Any]) -> Owned | Hired:
    """A machine of one's own was kept without its day before there was one."""
    match held:
        case [str(paid), item, *day] if paid == _OWN:
            return Owned(item=item, day_item=day[0] if day else None)
        case [str(paid), day, week, days] if paid == _HIRED:
            return Hired(day_item=day, week_item=week, week_days=days)
    raise ValueError(held)


def _terms(terms: Terms) -> _Json:
    """Terms without the sums for cautions: those that were given stand among the extras."""
    return {
        "overhead": [str(terms.overhead_share), str(terms.overhead_per_crew_day)],
        "contingency": str(terms.contingency),
        "profit": [terms.profit.basis, str(terms.profit.share)],
        "tax": [str(terms.tax.rate), list(terms.tax.on), terms.tax.base],
        "sums": [str(terms.discount), str(terms.minimum_charge)],
        "deposit": str(terms.deposit),
        "valid_days": terms.valid_days,
        "currency": terms.currency,
    }


def _read_terms(held: Mapping[str, Any]) -> Terms:
    rate, kinds, base = held["tax"]
    return Terms(
        overhead_share=Decimal(held["overhead"][0]),
        overhead_per_crew_day=Decimal(held["overhead"][1]),
        contingency=Decimal(held["contingency"]),
        profit=Profit(basis=held["profit"][0], share=Decimal(held["profit"][1])),
        tax=Tax(rate=Decimal(rate), on=tuple(kinds), base=base),
        discount=Decimal(held["sums"][0]),
        minimum_charge=Decimal(held["sums"][1]),
        deposit=Decimal(held["deposit"]),
        valid_days=held["valid_days"],
        currency=held["currency"],
    )


def _item_price(price: ItemPrice) -> list[str | bool | None]:
    texts = (price.description, price.supplier, price.group, price.note)
    number = [] if price.supplier_item is None else [price.supplier_item]
    return [str(price.unit_cost), price.per, *texts, price.stock, *number]


def _read_item_price(held: list[Any]) -> ItemPrice:
    cost, per, description, supplier, group, note, *later = held
    stock, number, *_ = (*later, None, None)
    return ItemPrice(
        unit_cost=Decimal(cost),
        per=per,
        description=description,
        supplier=supplier,
        group=group,
        note=note,
        stock=stock,
        supplier_item=number,
    )
