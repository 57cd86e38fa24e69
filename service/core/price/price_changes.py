"""Changes between price lists: raise or lower prices, set and remove items, tell two apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final, assert_never

from service.core import rounding
from service.core.errors import Fault, Path, PriceFaultsError
from service.core.fraction import Fraction
from service.core.job.price_list import ItemPrice
from service.core.measure import UNITS
from service.core.near_words import NearWords
from service.core.rounding import EXACT

LARGEST_UNIT_COST: Final = Decimal(10**12)
_PERCENT_STEP: Final = Decimal("0.01")
# A hint is found by looking at each known item; of very long lists only so many.
_COMPARED: Final = 2000
_PAIRS: Final = 3000

Prices = Mapping[str, ItemPrice]


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """Raise or lower unit costs: times `factor`, then plus `amount` (which may be negative).

    It holds for items of `supplier`, of `group` and among `items`, as far as these are given;
    with none of them for all. The result is rounded half up to `round_to`.
    """

    factor: Decimal = Decimal(1)
    amount: Decimal = Decimal(0)
    supplier: str | None = None
    group: str | None = None
    items: tuple[str, ...] | None = None
    round_to: Decimal = rounding.UNIT_COST_STEP


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """Items that are no longer sold."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Prices that are new or replaced; what they leave unsaid of the item stays as it was."""

    items: Prices


Change = Adjustment | Removal | Setting


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedPrice:
    """An item in both lists with another price or another word about it.

    `change` is new less old per old `per`, `percent` the same of the old cost, half up to two
    decimals; None where the units can't be converted, `percent` also where the old cost is 0.
    """

    item: str
    old: ItemPrice
    new: ItemPrice
    change: Decimal | None
    percent: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceDifference:
    """What one list has that another has not, each in the order of items."""

    added: tuple[tuple[str, ItemPrice], ...]
    removed: tuple[tuple[str, ItemPrice], ...]
    changed: tuple[ChangedPrice, ...]


def change_prices(prices: Prices, changes: Sequence[Change], minor_places: int) -> Prices:
    """Prices after some changes, one after the other; those given stay as they are.

    A computed cost is written with at least `minor_places` places. Raises PriceFaultsError with
    every change that can't be made, at `changes/<number>`.
    """
    faults: list[Fault] = []
    near = NearWords(_PAIRS)
    for number, change in enumerate(changes):
        at: Path = ("changes", number)
        try:
            prices = _change(prices, change, minor_places, at, near)
        except PriceFaultsError as error:
            faults += error.faults
    if faults:
        raise PriceFaultsError(faults)
    return prices


def _adjust(
    prices: Prices, adjustment: Adjustment, minor_places: int, at: Path, near: NearWords
) -> Prices:
    """Prices with an adjustment made. Raises PriceFaultsError where nothing fits it, an item it
    names isn't there, or a cost would leave its bounds; `at` is its place in the request, `near`
    holds unknown items against known ones."""
    unknown = [item for item in adjustment.items or () if item not in prices]
    if unknown:
        raise PriceFaultsError(_unknown(unknown, prices, (*at, "adjust", "items"), near))
    chosen = [item for item, price in prices.items() if _fits(item, price, adjustment)]
    if not chosen:
        raise PriceFaultsError([_nothing_fits(adjustment, (*at, "adjust"))])
    made = {item: _adjusted(prices[item], adjustment, minor_places) for item in chosen}
    faults = [
        _out_of_bounds(item, price, (*at, "adjust"))
        for item, price in made.items()
        if not 0 <= price.unit_cost < LARGEST_UNIT_COST
    ]
    if faults:
        raise PriceFaultsError(faults)
    return {item: made.get(item, price) for item, price in prices.items()}


def difference(old: Prices, new: Prices) -> PriceDifference:
    """What leads from one list to another."""
    both = sorted(old.keys() & new.keys())
    return PriceDifference(
        added=tuple((item, new[item]) for item in sorted(new.keys() - old.keys())),
        removed=tuple((item, old[item]) for item in sorted(old.keys() - new.keys())),
        changed=tuple(
            _changed(item, old[item], new[item]) for item in both if old[item] != new[item]
        ),
    )


def convert(cost: Decimal, old_per: str, new_per: str) -> Fraction | None:
    """A cost of one `old_per` as that of one `new_per`, exactly; None where there is no ratio."""
    if old_per == new_per:
        return Fraction(cost)
    old, new = UNITS.get(old_per), UNITS.get(new_per)
    if old is None or new is None or old.dimension != new.dimension:
        return None
    return Fraction(cost) * Fraction(new.si) / Fraction(old.si)


def _change(prices: Prices, change: Change, minor_places: int, at: Path, near: NearWords) -> Prices:
    match change:
        case Adjustment():
            return _adjust(prices, change, minor_places, at, near)
        case Removal():
            unknown = [item for item in change.items if item not in prices]
            if unknown:
                raise PriceFaultsError(_unknown(unknown, prices, (*at, "remove"), near))
            gone = frozenset(change.items)
            return {item: price for item, price in prices.items() if item not in gone}
        case Setting():
            kept = {item: _keeping(price, prices.get(item)) for item, price in change.items.items()}
            return {**prices, **kept}
        case _:
            assert_never(change)


def _keeping(price: ItemPrice, old: ItemPrice | None) -> ItemPrice:
    """A price with what was said of its item before, as far as it says nothing else. Another
    supplier knows it by another number."""
    if old is None:
        return price
    moved = price.supplier is not None and price.supplier != old.supplier
    return replace(
        price,
        description=price.description or old.description,
        supplier=price.supplier or old.supplier,
        group=price.group or old.group,
        note=price.note or old.note,
        stock=old.stock if price.stock is None else price.stock,
        supplier_item=price.supplier_item or (None if moved else old.supplier_item),
    )


def _fits(item: str, price: ItemPrice, adjustment: Adjustment) -> bool:
    return (
        adjustment.supplier in {None, price.supplier}
        and adjustment.group in {None, price.group}
        and (adjustment.items is None or item in adjustment.items)
    )


def _adjusted(price: ItemPrice, adjustment: Adjustment, minor_places: int) -> ItemPrice:
    exact = Fraction(price.unit_cost) * Fraction(adjustment.factor) + Fraction(adjustment.amount)
    cost = rounding.to_step(exact, adjustment.round_to)
    return replace(price, unit_cost=rounding.written(cost, minor_places))


def _changed(item: str, old: ItemPrice, new: ItemPrice) -> ChangedPrice:
    cost = convert(new.unit_cost, new.per, old.per)
    change = percent = None
    if cost is not None:
        more = cost - Fraction(old.unit_cost)
        change = rounding.unit_cost(more).normalize(EXACT)
        if old.unit_cost:
            percent = rounding.to_step(more / Fraction(old.unit_cost) * 100, _PERCENT_STEP)
    return ChangedPrice(item=item, old=old, new=new, change=change, percent=percent)


def _unknown(items: Sequence[str], prices: Prices, at: Path, near: NearWords) -> list[Fault]:
    message = "{} is not in the latest revision"
    known = tuple(prices)[:_COMPARED]
    meant = {item: near.nearest(item, known) for item in items}
    return [
        Fault(
            code="unknown-item",
            at=at,
            message=message.format(item),
            hint=f"did you mean {meant[item]}?" if meant[item] else None,
        )
        for item in items
    ]


def _nothing_fits(adjustment: Adjustment, at: Path) -> Fault:
    named = (("supplier", adjustment.supplier), ("group", adjustment.group))
    words = " and ".join(f"{key} {value!r}" for key, value in named if value is not None)
    return Fault(
        code="adjusts-nothing",
        at=at,
        message=f"no item of the latest revision has {words or 'what is asked for'}",
        hint="a supplier or group as it stands in the price list",
    )


def _out_of_bounds(item: str, price: ItemPrice, at: Path) -> Fault:
    return Fault(
        code="out-of-range",
        at=at,
        message=f"{item} would cost {price.unit_cost:f}, which is no unit cost",
        hint="a unit cost from 0, with at most 12 digits before the point",
    )
