"""Cost lines: what is bought, worked and added, each at its unit cost, in order (rule 17)."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from service.core import rounding
from service.core.errors import Fault
from service.core.fraction import Fraction
from service.core.job.line_order import in_order
from service.core.job.price_list import PACK, PriceList
from service.core.job.section import Group
from service.core.job.terms import Extra, Kind, Tax
from service.core.labor.hours import Labor
from service.core.measure import UNITS
from service.core.money import percent, result, total_of
from service.core.price.cost_line import CostLine, cost_of, find_price, price_missing, unit_mismatch
from service.core.price.crew_cost import crew_lines
from service.core.price.delivery import delivery_lines
from service.core.price.machine_cost import machine_lines
from service.core.takeoff.quantities import QuantityLine

PURCHASE_TAX = "purchase_tax"


def cost_lines(
    bought: Sequence[QuantityLine | Fault],
    labor: Labor | None,
    prices: PriceList,
    extras: Sequence[Extra],
    tax: Tax,
) -> tuple[tuple[CostLine, ...], tuple[Fault, ...]]:
    """All cost lines in order (rule 17), and every reason why one could not be made; `bought`
    are the quantity lines as they are ordered, or why that can't be said.

    Line cost = quantity x unit cost, half up to the minor unit. A price in another unit of the
    same dimension is converted by the exact ratio of the units, within the product.
    """
    goods = [line for line in bought if not isinstance(line, Fault)]
    materials = [line if isinstance(line, Fault) else _material(line, prices) for line in bought]
    made = [
        *materials,
        *delivery_lines(goods, [c for c in materials if isinstance(c, CostLine)], prices),
        *crew_lines(labor, prices),
        *machine_lines(labor, prices),
        *(_extra(position, extra, prices) for position, extra in enumerate(extras, start=1)),
    ]
    lines = [line for line in made if isinstance(line, CostLine)]
    faults = tuple(fault for fault in made if isinstance(fault, Fault))
    return in_order([*lines, *_purchase_tax(lines, prices, tax)]), faults


def _ratio(line: QuantityLine, per: str) -> Fraction | None:
    """How many of a unit make one of the order's unit, which is mostly the same."""
    if per == line.order_unit:
        return Fraction(1)
    return _pers_of(line).get(per)


def _pers_of(line: QuantityLine) -> dict[str, Fraction]:
    """Units in which an item may be priced: how many of each make one of the order's unit."""
    packs: dict[str, Fraction]
    if line.sold_per != PACK:
        symbol, content = line.order_unit, Fraction(1)
        packs = _shares_of_a_pack(line)
    else:
        packs = {PACK: Fraction(1), line.order_unit: Fraction(1)}
        if line.pack_unit is None or line.pack_content is None:
            return packs
        symbol, content = line.pack_unit, Fraction(line.pack_content)
    si = content * Fraction(UNITS[symbol].si)
    same = [unit for unit in UNITS.values() if unit.dimension == UNITS[symbol].dimension]
    return packs | {unit.symbol: si / Fraction(unit.si) for unit in same}


def _shares_of_a_pack(line: QuantityLine) -> dict[str, Fraction]:
    """What is charged from stock at a price per pack is so many of its contents."""
    if not line.stock or line.pack_content is None or line.pack_word is None:
        return {}
    share = 1 / Fraction(line.pack_content)
    return {PACK: share, line.pack_word: share}


def _material(line: QuantityLine, prices: PriceList) -> CostLine | Fault:
    """The line of something bought."""
    in_force = find_price(line.item, prices)
    if in_force is None:
        return price_missing(line.item, prices, line.sold_per)
    ratio = _ratio(line, in_force.price.per)
    if ratio is None:
        return unit_mismatch(line.item, in_force, line.order_unit, tuple(_pers_of(line)))
    priced = Fraction(line.order) * ratio
    cost, how = cost_of(line.order, line.order_unit, priced, in_force.price, prices.minor_places)
    return CostLine(
        item=line.item,
        description=line.description,
        group=line.group,
        kind=line.kind,
        quantity=line.order,
        quantity_unit=line.order_unit,
        unit_cost=in_force.price.unit_cost,
        per=in_force.price.per,
        cost=cost,
        from_list=not in_force.override,
        override=in_force.override,
        how=how,
        shares=line.shares,
    )


def extra_item(position: int) -> str:
    """The item of an extra by its position from 1: those of the request, then those of the
    terms."""
    return f"extra_{position}"


def _extra(position: int, extra: Extra, prices: PriceList) -> CostLine | Fault:
    """A cost that the caller adds as it stands; `position` counts from 1."""
    cost = rounding.minor_unit(extra.cost, prices.minor_places)
    if cost != extra.cost:
        return Fault(
            code="too-many-places",
            at=("extras", position - 1, "cost"),
            message=f"{extra.cost:f} has more places than {prices.currency} has",
            hint=f"{cost:f}",
        )
    how = (f"{cost:f} {extra.reason}",)
    return _sum(extra_item(position), extra.description, "extras", (extra.kind, cost, how))


def _purchase_tax(lines: Sequence[CostLine], prices: PriceList, tax: Tax) -> tuple[CostLine, ...]:
    """What the contractor pays in tax on what he buys: a cost line of its own."""
    if tax.base != "purchase" or not tax.rate:
        return ()
    base = total_of(line.cost for line in lines if line.kind in tax.on)
    exact = Fraction(tax.rate) * Fraction(base)
    cost = rounding.minor_unit(exact, prices.minor_places)
    kinds = ", ".join(tax.on)
    how = (f"{percent(tax.rate)} of the cost {base:f} of {kinds} {result(exact, cost)}",)
    return (_sum(PURCHASE_TAX, "Tax paid on purchases", "fees", ("fee", cost, how)),)


def _sum(
    item: str, description: str, group: Group, what: tuple[Kind, Decimal, tuple[str, ...]]
) -> CostLine:
    """The line of a sum of money that is of no wall."""
    kind, cost, how = what
    return CostLine(
        item=item,
        description=description,
        group=group,
        kind=kind,
        quantity=Decimal(1),
        quantity_unit="each",
        unit_cost=cost,
        per="each",
        cost=cost,
        from_list=False,
        override=False,
        how=how,
        shares=(),
    )
