"""Quantity lines as they are bought: what trucks carry is ordered in the unit of its price."""

from __future__ import annotations

from dataclasses import replace

from service.core.errors import Fault
from service.core.job.price_list import PriceList
from service.core.price.cost_line import PriceInForce, find_price, unit_mismatch
from service.core.takeoff.haulage import (
    Haulage,
    HaulOrder,
    order_haulage,
    paid_unit,
    priced_pers,
    truck_missing,
)
from service.core.takeoff.quantities import QuantityLine


def as_bought(line: QuantityLine, prices: PriceList) -> QuantityLine | Fault:
    """A line in the unit in which its price has it ordered, whatever list it was ordered by before.

    A fault where that unit is no way to pay for it (`price-unit-mismatch`), or is the load, and
    nobody knows what a load is (`truck-missing`).
    """
    if line.haulage is None:
        return line
    found = find_price(line.item, prices)
    ordered = _order(line.item, line.haulage, found)
    if isinstance(ordered, Fault):
        return ordered
    return replace(
        line,
        order=ordered.amount,
        order_unit=ordered.unit.symbol,
        sold_per=ordered.unit.symbol,
        how=(*line.haulage.how, ordered.how),
        increment_assumed=ordered.increment_assumed,
    )


def _order(item: str, haulage: Haulage, found: PriceInForce | None) -> HaulOrder | Fault:
    """As the price has it; without a price, as it was taken off."""
    unit = paid_unit(haulage, found.price.per) if found else haulage.sold
    ordered = order_haulage(haulage, unit) if unit else None
    if ordered is not None:
        return ordered
    if found is None or (unit and unit.dimension == "load"):
        return truck_missing(item)
    return unit_mismatch(item, found, haulage.sold.symbol, priced_pers(haulage))
