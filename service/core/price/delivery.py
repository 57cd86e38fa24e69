"""Freight: what suppliers ask to bring what is ordered, as cost lines of their own.

A supplier's goods are those whose price names him. Their loads are the larger of weight over
load weight and pallets over pallets a load, each rounded up, at least one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from service.core import rounding
from service.core.job.price_list import DeliveryTerms, PriceList
from service.core.job.terms import Kind
from service.core.measure import in_unit, number
from service.core.money import counted, total_of
from service.core.price.cost_line import CostLine
from service.core.rounding import EXACT
from service.core.takeoff.quantities import QuantityLine

PALLET: Final = "pallet"
_WORDS: Final = re.compile(r"[^a-z0-9]+")
# `delivery_` and what others begin with leave so much of an item's 64 characters.
_LONGEST_NAME: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Goods:
    """What one supplier brings: `cost` in money, `mass_kg` as far as it is known, whole pallets;
    `not_weighed` are the items without a weight."""

    cost: Decimal
    mass_kg: float
    pallets: int
    not_weighed: tuple[str, ...]


def delivery_lines(
    ordered: Sequence[QuantityLine], costs: Sequence[CostLine], prices: PriceList
) -> tuple[CostLine, ...]:
    """Lines for the loads, the order below its minimum and the deposit on pallets of each supplier
    for whom `prices` has delivery terms, in the order of suppliers. `costs` are the cost lines of
    what is `ordered`. They belong to the site, not to one wall.
    """
    lines: list[CostLine] = []
    for supplier in sorted(prices.delivery):
        terms = prices.delivery[supplier]
        goods = [line for line in ordered if _supplier_of(line, prices) == supplier]
        if goods:
            lines += _lines_of(supplier, _weigh(goods, costs), terms, prices)
    return tuple(lines)


def freight_items(supplier: str, prices: PriceList) -> tuple[str, str, str]:
    """Items of the lines of one supplier: loads, small order, deposit on pallets."""
    name = _name_of(supplier, prices)
    return f"delivery_{name}", f"small_order_{name}", f"pallets_{name}"


def loads_of(goods: Goods, terms: DeliveryTerms) -> int:
    """How many loads the goods make: at least one."""
    by_mass = by_pallets = 1
    if terms.load_mass_kg is not None:
        by_mass = rounding.whole_packs(goods.mass_kg, terms.load_mass_kg)
    if terms.load_pallets is not None:
        by_pallets = rounding.whole_packs(goods.pallets, terms.load_pallets)
    return max(1, by_mass, by_pallets)


def _supplier_of(line: QuantityLine, prices: PriceList) -> str | None:
    """Who sells a material for this quote; a price for it that names nobody leaves it with the
    list's. What comes from stock nobody brings."""
    if line.kind != "material" or line.stock:
        return None
    for table in (prices.overrides, prices.items):
        if line.item in table and table[line.item].supplier is not None:
            return table[line.item].supplier
    return None


def _weigh(goods: Sequence[QuantityLine], costs: Sequence[CostLine]) -> Goods:
    items = [line.item for line in goods]
    return Goods(
        cost=total_of(line.cost for line in costs if line.item in items),
        mass_kg=math.fsum(line.weight_kg or 0.0 for line in goods),
        pallets=sum(line.packs[0] for line in goods if line.packs and line.packs[1] == PALLET),
        not_weighed=tuple(line.item for line in goods if line.weight_kg is None),
    )


def _lines_of(
    supplier: str, goods: Goods, terms: DeliveryTerms, prices: PriceList
) -> list[CostLine]:
    delivery, small_order, pallets = freight_items(supplier, prices)
    loads = Decimal(loads_of(goods, terms))
    made = [
        _line(
            (delivery, f"Delivery, {supplier}", "delivery"),
            (loads, "load", terms.per_load),
            _loads_how(goods, terms),
            prices,
        )
    ]
    if goods.cost < terms.minimum_order:
        how = (f"goods of {goods.cost:f} are below the minimum order of {terms.minimum_order:f}",)
        what: tuple[str, str, Kind] = (small_order, f"Small order, {supplier}", "fee")
        made.append(_line(what, (Decimal(1), "each", terms.below_minimum), how, prices))
    if goods.pallets and terms.pallet_deposit:
        what = (pallets, f"Deposit on pallets, {supplier}", "fee")
        amount = (Decimal(goods.pallets), PALLET, terms.pallet_deposit)
        made.append(_line(what, amount, ("comes back with the pallets",), prices))
    return made


def _loads_how(goods: Goods, terms: DeliveryTerms) -> tuple[str, ...]:
    words = []
    if terms.load_mass_kg is not None:
        loads = rounding.whole_packs(goods.mass_kg, terms.load_mass_kg)
        words.append(
            f"{_mass(goods.mass_kg)} / {_mass(terms.load_mass_kg)} a load: {counted(loads, 'load')}"
        )
    if terms.load_pallets is not None:
        loads = rounding.whole_packs(goods.pallets, terms.load_pallets)
        words.append(
            f"{counted(goods.pallets, 'pallet')} / {terms.load_pallets} a load: "
            f"{counted(loads, 'load')}"
        )
    if goods.not_weighed:
        words.append(f"weight not known, so not in it: {', '.join(goods.not_weighed)}")
    if terms.lead_days is not None:
        words.append(f"to be ordered {counted(terms.lead_days, 'day')} ahead")
    return tuple(words)


def _mass(mass_kg: float) -> str:
    return f"{number(mass_kg)} kg ({number(in_unit(mass_kg, 'lb'))} lb)"


def _line(
    what: tuple[str, str, Kind],
    amount: tuple[Decimal, str, Decimal],
    how: tuple[str, ...],
    prices: PriceList,
) -> CostLine:
    """One line of some (item, description, kind) and (quantity, unit, unit cost)."""
    (item, description, kind), (quantity, unit, unit_cost) = what, amount
    cost = rounding.minor_unit(EXACT.multiply(quantity, unit_cost), prices.minor_places)
    product = f"{quantity:f} {unit} x {unit_cost:f} per {unit} = {cost:f}"
    return CostLine(
        item=item,
        description=description,
        group="delivery",
        kind=kind,
        quantity=quantity,
        quantity_unit=unit,
        unit_cost=unit_cost,
        per=unit,
        cost=cost,
        from_list=True,
        override=False,
        how=(*how, product),
        shares=(),
    )


def delivery_item(supplier: str, prices: PriceList) -> str:
    """The item under which a supplier's loads are priced. The supplier has delivery terms."""
    return f"delivery_{_name_of(supplier, prices)}"


def _name_of(supplier: str, prices: PriceList) -> str:
    """A supplier's name as part of an item; suppliers whose names differ in signs alone are told
    apart by their place."""
    short = _short(supplier)
    alike = [other for other in sorted(prices.delivery) if _short(other) == short]
    return short if len(alike) == 1 else f"{short}_{alike.index(supplier) + 1}"


def _short(supplier: str) -> str:
    return _WORDS.sub("_", supplier.lower())[:_LONGEST_NAME].strip("_") or "supplier"
