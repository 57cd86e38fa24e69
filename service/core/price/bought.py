"""Quantity lines as they are bought: what trucks carry is ordered in the unit of its price, what
is kept in stock is charged as it is used (rule 11.5)."""

from __future__ import annotations

from dataclasses import replace

from service.core.errors import Fault
from service.core.job.price_list import PriceList
from service.core.price.cost_line import PriceInForce, find_price, kept_in_stock, unit_mismatch
from service.core.takeoff.haulage import (
    Haulage,
    HaulOrder,
    order_haulage,
    paid_unit,
    priced_pers,
    truck_missing,
)
from service.core.takeoff.quantities import QuantityLine, ordered_line


def as_bought(line: QuantityLine, prices: PriceList) -> QuantityLine | Fault:
    """A line in the unit in which its price has it ordered, whatever list it was ordered by before.

    A fault where that unit is no way to pay for it (`price-unit-mismatch`), or is the load, and
    nobody knows what a load is (`truck-missing`).
    """
    if line.haulage is None:
        return _from_stock(line, prices)
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


def _from_stock(line: QuantityLine, prices: PriceList) -> QuantityLine:
    """As the price list or the price for this quote says: charged from stock, or bought. A line
    that was kept before there was stock stays as it is."""
    if line.ways is None:
        return line
    way = line.ways.charged if kept_in_stock(line.item, prices) else line.ways.bought
    return line if way.stock == line.stock else ordered_line(line, way)


def _order(item: str, haulage: Haulage, found: PriceInForce | None) -> HaulOrder | Fault:
    """As the price has it; without a price, as it was taken off."""
    unit = paid_unit(haulage, found.price.per) if found else haulage.sold
    ordered = order_haulage(haulage, unit) if unit else None
    if ordered is not None:
        return ordered
    if found is None or (unit and unit.dimension == "load"):
        return truck_missing(item)
    return unit_mismatch(item, found, haulage.sold.symbol, priced_pers(haulage))
