"""Quantities and labor to a price: cost lines, roll-up, line prices, tax, price by wall."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import assert_never

from service.core.errors import Fault, PriceFaultsError
from service.core.fraction import Fraction
from service.core.job.price_list import PriceList
from service.core.job.terms import Extra, Tax, Terms
from service.core.labor.hours import Labor
from service.core.money import SpreadPart, percent, plain, split, spread, total_of
from service.core.price.bought import as_bought
from service.core.price.cost import cost_lines
from service.core.price.cost_line import CostLine
from service.core.price.price import ROLL_UP, Price, PriceLine
from service.core.price.roll_up import Amount, RollUp, margin_of, roll_up, share_of
from service.core.takeoff.quantities import Quantities, QuantityLine


def price(
    quantities: Quantities,
    labor: Labor | None,
    prices: PriceList,
    terms: Terms | None,
    extras: Sequence[Extra],
    wall_names: tuple[str, ...],
) -> Price:
    """Price what was taken off and scheduled, in the currency of `prices`.

    `terms` None: the price is the cost. `by_wall` follows `wall_names`; lines of no wall are
    `site_wide`. Raises PriceFaultsError with every item that lacks a fitting price and every sum
    that can't be used.
    """
    terms = terms or Terms()
    places = prices.minor_places
    bought = [as_bought(line, prices) for line in quantities.lines]
    costs, faults = cost_lines(bought, labor, prices, extras, terms.tax)
    faults += _terms_faults(terms, prices.currency)
    if not (costs or faults):
        faults = (Fault(code="nothing-to-price", at=("walls",), message="nothing is to be priced"),)
    if faults:
        raise PriceFaultsError(faults)
    direct = total_of(line.cost for line in costs)
    direct_cost = Amount(direct, f"sum of the cost of {len(costs)} lines = {direct:f}")
    sums = roll_up(direct_cost, labor.crew_days if labor else Decimal(0), terms, places)
    parts = spread(sums.subtotal.value, [line.cost for line in costs], places)
    lines = tuple(
        _price_line(line, part, sums, terms.tax) for line, part in zip(costs, parts, strict=True)
    )
    ordered = tuple(line for line in bought if not isinstance(line, Fault))
    by_wall = _by_wall(costs, parts, wall_names, places)
    return _answer(ordered, lines, sums, terms, places, by_wall)


def _terms_faults(terms: Terms, currency: str) -> tuple[Fault, ...]:
    """A margin of the whole price leaves nothing for the cost; sums of another currency can't be
    added."""
    faults = []
    if terms.profit.basis == "margin" and terms.profit.share >= 1:
        message = f"a margin of {terms.profit.share:f} of the price leaves nothing for the cost"
        hint = "a margin below 1, for example 0.25"
        at = ("terms", "profit", "margin")
        faults.append(Fault(code="margin-not-below-one", at=at, message=message, hint=hint))
    sums = (terms.overhead_per_crew_day, terms.discount, terms.minimum_charge)
    if terms.currency not in (None, currency) and any(sums):
        message = f"the terms hold sums in {terms.currency}, prices are in {currency}"
        hint = f"terms in {currency}, or without sums of money"
        faults.append(Fault(code="currency-mismatch", at=("terms",), message=message, hint=hint))
    return tuple(faults)


def _price_line(line: CostLine, part: SpreadPart, sums: RollUp, tax: Tax) -> PriceLine:
    """A cost line with its share of the subtotal, and whether that is taxed."""
    return PriceLine(
        item=line.item,
        description=line.description,
        group=line.group,
        kind=line.kind,
        quantity=line.quantity,
        quantity_unit=line.quantity_unit,
        unit_cost=line.unit_cost,
        per=line.per,
        cost=line.cost,
        price=part.amount,
        taxable=tax.base == "price" and line.kind in tax.on,
        from_list=line.from_list,
        override=line.override,
        how=(*line.how, _price_how(line, part, sums)),
    )


def _price_how(line: CostLine, part: SpreadPart, sums: RollUp) -> str:
    """A line's share of the subtotal, and where an odd cent came to lie."""
    subtotal, direct = sums.subtotal.value, sums.direct_cost.value
    if not direct:
        return f"price {part.amount:f}: all costs are 0, so the first line carries the subtotal"
    share = f"price: subtotal {subtotal:f} x cost {line.cost:f} / direct cost {direct:f}"
    if part.odd:
        share += f" = {plain(part.exact)}, cut down, plus {part.odd:f} by largest remainder"
    elif part.exact != Fraction(part.amount):
        share += f" = {plain(part.exact)}, cut down"
    return f"{share} = {part.amount:f}"


def _by_wall(
    costs: Sequence[CostLine],
    parts: Sequence[SpreadPart],
    wall_names: tuple[str, ...],
    places: int,
) -> tuple[tuple[tuple[str, Decimal], ...], Decimal]:
    """Each line's price split over its walls; what belongs to no wall is apart: whole lines
    without shares, and shares of anything but a wall (an area that is graded)."""
    zero = Decimal(0).scaleb(-places)
    walls: dict[str, list[Decimal]] = {name: [zero] for name in wall_names}
    site_wide = [zero]
    for line, part in zip(costs, parts, strict=True):
        held = split(part.amount, line.shares, places)
        if not held:
            site_wide.append(part.amount)
        for name, amount in held:
            walls.get(name, site_wide).append(amount)
    return tuple((name, total_of(walls[name])) for name in wall_names), total_of(site_wide)


def _tax(lines: Sequence[PriceLine], tax: Tax, places: int) -> Amount:
    """Tax on the sum of the taxable lines' prices, rounded once."""
    zero = Decimal(0).scaleb(-places)
    match tax.base:
        case "purchase":
            return Amount(zero, _PURCHASE_HOW.format(rate=percent(tax.rate)))
        case "price":
            base = total_of([zero, *(line.price for line in lines if line.taxable)])
            return share_of(tax.rate, base, "the price of the taxable lines", places)
        case _:
            assert_never(tax.base)


_PURCHASE_HOW = "none: the contractor pays {rate} on purchases, which is a cost line"


def _answer(
    bought: tuple[QuantityLine, ...],
    lines: tuple[PriceLine, ...],
    sums: RollUp,
    terms: Terms,
    places: int,
    walls: tuple[tuple[tuple[str, Decimal], ...], Decimal],
) -> Price:
    """The price with tax, total, margin and deposit, and the words of every amount."""
    tax = _tax(lines, terms.tax, places)
    subtotal = sums.subtotal.value
    total = total_of((subtotal, tax.value))
    margin, margin_how = margin_of(sums)
    deposit = share_of(terms.deposit, total, "the total", places)
    total_how = f"subtotal {subtotal:f} + tax {tax.value:f} = {total:f}"
    return Price(
        bought=bought,
        lines=lines,
        direct_cost=sums.direct_cost.value,
        overhead=sums.overhead.value,
        contingency=sums.contingency.value,
        profit=sums.profit.value,
        discount=sums.discount.value,
        added_to_reach_minimum=sums.added_to_reach_minimum.value,
        subtotal=subtotal,
        tax=tax.value,
        total=total,
        margin=margin,
        deposit=deposit.value,
        by_wall=walls[0],
        site_wide=walls[1],
        how=_how(sums, (tax.how, total_how, margin_how, deposit.how)),
    )


def _how(sums: RollUp, after: tuple[str, str, str, str]) -> tuple[tuple[str, str], ...]:
    """The words of every amount: those up to the subtotal, then tax, total, margin, deposit."""
    before = (
        sums.direct_cost,
        sums.overhead,
        sums.contingency,
        sums.profit,
        sums.discount,
        sums.added_to_reach_minimum,
        sums.subtotal,
    )
    words = (*(amount.how for amount in before), *after)
    return tuple(zip(ROLL_UP, words, strict=True))
