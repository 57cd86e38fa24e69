"""Cost lines: what is bought, worked and added, each at its unit cost, in the contract's order."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core import rounding
from service.core.errors import Fault, Path
from service.core.measure import UNITS, number
from service.core.money import percent, plain, result, total_of
from service.core.price_list import ItemPrice, PriceList
from service.core.results import CrewTime, Labor, Quantities, QuantityLine, Shares
from service.core.section import GROUPS, Group
from service.core.terms import Extra, Kind, Tax

PACK = "pack"
PURCHASE_TAX = "purchase_tax"


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """A price line before its price is known; `shares` are empty where it is of no wall."""

    item: str
    description: str
    group: Group
    kind: Kind
    quantity: Decimal
    quantity_unit: str
    unit_cost: Decimal
    per: str
    cost: Decimal
    from_list: bool
    override: bool
    how: tuple[str, ...]
    shares: Shares


def cost_lines(
    quantities: Quantities,
    labor: Labor | None,
    prices: PriceList,
    extras: Sequence[Extra],
    tax: Tax,
) -> tuple[tuple[CostLine, ...], tuple[Fault, ...]]:
    """All cost lines in the contract's order, and every reason why one could not be made.

    Line cost = quantity x unit cost, half up to the minor unit. A price in another unit of the
    same dimension is converted by the exact ratio of the units, within the product.
    """
    made = [
        *(_material(line, prices) for line in quantities.lines),
        *_crews(labor, prices),
        *(_extra(position, extra, prices) for position, extra in enumerate(extras, start=1)),
    ]
    lines = [line for line in made if isinstance(line, CostLine)]
    faults = tuple(fault for fault in made if isinstance(fault, Fault))
    return _in_order([*lines, *_purchase_tax(lines, prices, tax)]), faults


def _in_order(lines: Iterable[CostLine]) -> tuple[CostLine, ...]:
    """By group, then by item; units and extras stand as they came (standard, corner, cap)."""

    def place(line: CostLine) -> tuple[int, str]:
        as_it_came = line.group in ("units", "extras")
        return GROUPS.index(line.group), "" if as_it_came else line.item

    return tuple(sorted(lines, key=place))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """The price that holds for an item, and where it stands in the request."""

    price: ItemPrice
    override: bool
    at: Path


def _find(item: str, prices: PriceList) -> _Found | None:
    """An override goes before the price list."""
    if item in prices.overrides:
        at: Path = ("prices", "overrides", item, "per")
        return _Found(price=prices.overrides[item], override=True, at=at)
    if item not in prices.items:
        return None
    at = ("prices", "items", item, "per") if prices.id is None else ("prices", "price_list")
    return _Found(price=prices.items[item], override=False, at=at)


def _missing(item: str, prices: PriceList, per: str) -> Fault:
    """No price for an item that is needed."""
    inline = prices.id is None
    where = "the prices given" if inline else f"price list {prices.id!r}"
    return Fault(
        code="price-missing",
        at=("prices", "items", item) if inline else ("prices", "price_list"),
        message=f"item {item!r} has no price in {where}",
        hint=f"a unit cost of {item!r} per {per}",
    )


def _mismatch(item: str, found: _Found, sold: str, fitting: Sequence[str]) -> Fault:
    """A price in a unit that can't be turned into the one in which the item is sold."""
    return Fault(
        code="price-unit-mismatch",
        at=found.at,
        message=f"item {item!r} is sold by {sold}, and its price is per {found.price.per!r}",
        hint=f"a unit cost per {' or '.join(fitting)}",
    )


def _pers_of(line: QuantityLine) -> dict[str, Fraction]:
    """Units in which an item may be priced: how many of each make one of the order's unit."""
    if line.sold_per != PACK:
        symbol, content = line.order_unit, Fraction(1)
        packs: dict[str, Fraction] = {}
    else:
        packs = {PACK: Fraction(1), line.order_unit: Fraction(1)}
        if line.pack_unit is None or line.pack_content is None:
            return packs
        symbol, content = line.pack_unit, Fraction(line.pack_content)
    si = content * Fraction(UNITS[symbol].si)
    same = [unit for unit in UNITS.values() if unit.dimension == UNITS[symbol].dimension]
    return packs | {unit.symbol: si / Fraction(unit.si) for unit in same}


def _material(line: QuantityLine, prices: PriceList) -> CostLine | Fault:
    """The line of something bought."""
    found = _find(line.item, prices)
    if found is None:
        return _missing(line.item, prices, line.sold_per)
    pers = _pers_of(line)
    ratio = pers.get(found.price.per)
    if ratio is None:
        return _mismatch(line.item, found, line.order_unit, tuple(pers))
    priced = Fraction(line.order) * ratio
    cost, how = _cost(line.order, line.order_unit, priced, found.price, prices.minor_places)
    return CostLine(
        item=line.item,
        description=line.description,
        group=line.group,
        kind=line.kind,
        quantity=line.order,
        quantity_unit=line.order_unit,
        unit_cost=found.price.unit_cost,
        per=found.price.per,
        cost=cost,
        from_list=not found.override,
        override=found.override,
        how=how,
        shares=line.shares,
    )


def _cost(
    quantity: Decimal, unit: str, priced: Fraction, price: ItemPrice, places: int
) -> tuple[Decimal, tuple[str, ...]]:
    """Cost of a quantity that is `priced` times the price's unit, with its arithmetic."""
    exact = priced * Fraction(price.unit_cost)
    cost = rounding.minor_unit(exact, places)
    start = f"{number(quantity)} {unit}"
    if priced != Fraction(quantity):
        start += f" = {plain(priced)} {price.per}; {plain(priced)} {price.per}"
    product = f"{start} x {price.unit_cost:f} per {price.per} {result(exact, cost)}"
    return cost, (product, *((f"note: {price.note}",) if price.note else ()))


def _crews(labor: Labor | None, prices: PriceList) -> list[CostLine | Fault]:
    """One line for all crews of one item."""
    by_item: dict[str, list[CrewTime]] = {}
    for crew in labor.crews if labor else ():
        by_item.setdefault(crew.item, []).append(crew)
    currency = labor.wage_currency if labor else None
    return [_crew(item, by_item[item], prices, currency) for item in sorted(by_item)]


def _crew(
    item: str, crews: Sequence[CrewTime], prices: PriceList, currency: str | None
) -> CostLine | Fault:
    """Paid hours of the crews of one item: priced per hour, or per person and day."""
    found = _find(item, prices)
    paid = total_of(crew.paid_hours for crew in crews)
    price, wage_how = (found.price, ()) if found else _wage(crews)
    fault = _crew_fault(item, crews, found, (prices, currency))
    if fault or price is None:
        return fault or _missing(item, prices, "h")
    days = Fraction(total_of(crew.person_days for crew in crews))
    priced = days if price.per == "day" else Fraction(paid)
    cost, how = _cost(paid, "h", priced, price, prices.minor_places)
    return CostLine(
        item=item,
        description=", ".join(crew.title for crew in crews),
        group="labor",
        kind="labor",
        quantity=paid,
        quantity_unit="h",
        unit_cost=price.unit_cost,
        per=price.per,
        cost=cost,
        from_list=found is not None and not found.override,
        override=found is not None and found.override,
        how=(*(how_line for crew in crews for how_line in crew.how), *wage_how, *how),
        shares=_shares_of(crews),
    )


def _crew_fault(
    item: str,
    crews: Sequence[CrewTime],
    found: _Found | None,
    context: tuple[PriceList, str | None],
) -> Fault | None:
    """What keeps a crew from being priced, apart from a missing price."""
    prices, currency = context
    if found:
        fits = found.price.per in ("h", "day")
        return None if fits else _mismatch(item, found, "h", ("h", "day"))
    if len(dict.fromkeys(crew.hour_cost for crew in crews)) > 1:
        names = " and ".join(repr(crew.crew) for crew in crews)
        return Fault(
            code="crew-wage-ambiguous",
            at=("rates",),
            message=f"crews {names} share the item {item!r} and cost different sums per hour",
            hint="one item per crew, or a price of the item",
        )
    if crews[0].hour_cost is not None and currency not in (None, prices.currency):
        return Fault(
            code="currency-mismatch",
            at=("rates",),
            message=f"wages are in {currency}, prices in {prices.currency}",
            hint=f"a price of {item!r} in {prices.currency}, or rates in {prices.currency}",
        )
    return None


def _wage(crews: Sequence[CrewTime]) -> tuple[ItemPrice | None, tuple[str, ...]]:
    """The cost of an hour by the rates, with its arithmetic."""
    cost, how = crews[0].hour_cost, crews[0].hour_cost_how
    if cost is None:
        return None, ()
    return ItemPrice(unit_cost=cost, per="h"), (how,) if how else ()


def _shares_of(crews: Sequence[CrewTime]) -> Shares:
    """Hours of all crews of one line, wall by wall."""
    by_wall: dict[str, list[float]] = {}
    for crew in crews:
        for name, hours in crew.shares:
            by_wall.setdefault(name, []).append(hours)
    return tuple((name, math.fsum(by_wall[name])) for name in sorted(by_wall))


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
    return _sum(f"extra_{position}", extra.description, "extras", (extra.kind, cost, how))


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
