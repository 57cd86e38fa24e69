"""One cost line: an item, how much of it, and what that costs at its price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core import rounding
from service.core.errors import Fault, Path
from service.core.fraction import Fraction
from service.core.job.price_list import ItemPrice, PriceList
from service.core.job.section import Group
from service.core.job.terms import Kind
from service.core.measure import number
from service.core.money import plain, result
from service.core.shares import Shares


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


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceInForce:
    """The price that holds for an item, and where it stands in the request."""

    price: ItemPrice
    override: bool
    at: Path


def find_price(item: str, prices: PriceList) -> PriceInForce | None:
    """An override goes before the price list."""
    if item in prices.overrides:
        at: Path = ("prices", "overrides", item, "per")
        return PriceInForce(price=prices.overrides[item], override=True, at=at)
    if item not in prices.items:
        return None
    at = ("prices", "items", item, "per") if prices.id is None else ("prices", "price_list")
    return PriceInForce(price=prices.items[item], override=False, at=at)


def kept_in_stock(item: str, prices: PriceList) -> bool:
    """Whether prices say that an item is kept in stock; a price for one quote that doesn't say
    leaves that to the list."""
    said = (table[item].stock for table in (prices.overrides, prices.items) if item in table)
    return next((stock for stock in said if stock is not None), False)


def price_missing(item: str, prices: PriceList, per: str) -> Fault:
    """No price for an item that is needed."""
    inline = prices.id is None
    where = "the prices given" if inline else f"price list {prices.id!r}"
    return Fault(
        code="price-missing",
        at=("prices", "items", item) if inline else ("prices", "price_list"),
        message=f"item {item!r} has no price in {where}",
        hint=f"a unit cost of {item!r} per {per}",
    )


def unit_mismatch(item: str, in_force: PriceInForce, sold: str, fitting: Sequence[str]) -> Fault:
    """A price in a unit that can't be turned into the one in which the item is sold."""
    return Fault(
        code="price-unit-mismatch",
        at=in_force.at,
        message=f"item {item!r} is sold by {sold}, and its price is per {in_force.price.per!r}",
        hint=f"a unit cost per {' or '.join(fitting)}",
    )


def cost_of(
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
