"""Cost lines of crews: paid hours, priced per hour or per person and day, or by wage."""

from __future__ import annotations

from collections.abc import Sequence

from service.core.errors import Fault
from service.core.fraction import Fraction
from service.core.job.price_list import ItemPrice, PriceList
from service.core.labor.hours import CrewTime, Labor
from service.core.money import total_of
from service.core.price.cost_line import (
    CostLine,
    PriceInForce,
    cost_of,
    find_price,
    price_missing,
    unit_mismatch,
)
from service.core.shares import add_up


def crew_lines(labor: Labor | None, prices: PriceList) -> list[CostLine | Fault]:
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
    in_force = find_price(item, prices)
    paid = total_of(crew.paid_hours for crew in crews)
    price, wage_how = (in_force.price, ()) if in_force else _wage(crews)
    fault = _crew_fault(item, crews, in_force, (prices, currency))
    if fault or price is None:
        return fault or price_missing(item, prices, "h")
    days = Fraction(total_of(crew.person_days for crew in crews))
    priced = days if price.per == "day" else Fraction(paid)
    cost, how = cost_of(paid, "h", priced, price, prices.minor_places)
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
        from_list=in_force is not None and not in_force.override,
        override=in_force is not None and in_force.override,
        how=(*(how_line for crew in crews for how_line in crew.how), *wage_how, *how),
        shares=add_up(share for crew in crews for share in crew.shares),
    )


def _crew_fault(
    item: str,
    crews: Sequence[CrewTime],
    in_force: PriceInForce | None,
    context: tuple[PriceList, str | None],
) -> Fault | None:
    """What keeps a crew from being priced, apart from a missing price."""
    prices, currency = context
    if in_force:
        fits = in_force.price.per in ("h", "day")
        return None if fits else unit_mismatch(item, in_force, "h", ("h", "day"))
    if len(dict.fromkeys(crew.hour_cost for crew in crews)) > 1:
        return _wages_differ(item, crews)
    if crews[0].hour_cost is not None and currency not in (None, prices.currency):
        return Fault(
            code="currency-mismatch",
            at=("rates",),
            message=f"wages are in {currency}, prices in {prices.currency}",
            hint=f"a price of {item!r} in {prices.currency}, or rates in {prices.currency}",
        )
    return None


def _wages_differ(item: str, crews: Sequence[CrewTime]) -> Fault:
    names = " and ".join(repr(crew.crew) for crew in crews)
    return Fault(
        code="crew-wage-ambiguous",
        at=("rates",),
        message=f"crews {names} share the item {item!r} and cost different sums per hour",
        hint="one item per crew, or a price of the item",
    )


def _wage(crews: Sequence[CrewTime]) -> tuple[ItemPrice | None, tuple[str, ...]]:
    """The cost of an hour by the rates, with its arithmetic."""
    cost, how = crews[0].hour_cost, crews[0].hour_cost_how
    if cost is None:
        return None, ()
    return ItemPrice(unit_cost=cost, per="h"), (how,) if how else ()
