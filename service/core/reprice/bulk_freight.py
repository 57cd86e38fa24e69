"""What suppliers ask to bring the goods of many packed quotes, as lines among the others.

The counts are those of `core.price.delivery`: loads by weight and by pallets, the order below its
minimum, the deposit on pallets. A supplier's goods are those whose price in the list names him.
What can't be held so goes the ordinary way: quotes with a price of their own that names its
supplier, quotes that were packed without weights, weights within the
error of a sum at the edge of a load, terms finer than a millionth.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from service.core.job.section import GROUPS
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_lines import Lines, half_up
from service.core.reprice.freight_columns import NOBODY, FreightColumns
from service.core.reprice.packed_columns import Bools, Ints, PackedColumns, PriceColumns
from service.core.rounding import CLOSE_SHARE

_MATERIAL, _DELIVERY, _FEE = (form.KIND_CODES.index(k) for k in ("material", "delivery", "fee"))
_GROUP = form.GROUP_CODES.index("delivery")
_PLACES = np.array([GROUPS.index(group) for group in form.GROUP_CODES], np.int64)
# A sum of floats is surer than this share of it.
_SURE = 1e-11
# More loads or pallets of one supplier go the ordinary way.
_MOST_LOADS = 100_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Goods:
    """What one supplier brings to one quote, a pair an entry: cost in minor units, weight,
    pallets."""

    quote: Ints
    supplier: Ints
    cost: Ints
    mass_kg: np.ndarray
    pallets: Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Made:
    """Lines of freight: of which quote, where its item stands by name, what it is, its cost."""

    quote: Ints
    rank: Ints
    kind: Ints
    cost: Ints


def add_freight(
    packed: PackedColumns, lines: Lines, prices: PriceColumns
) -> tuple[PackedColumns, Lines]:
    """Packed quotes and their lines with those of freight in their places."""
    freight = prices.freight
    if freight is None:
        return packed, lines
    supplier = _suppliers(packed, prices, freight)
    goods = _goods(packed, lines, supplier, len(freight.names))
    failed = lines.failed | _unsure(packed, goods, freight)
    made = tuple(_lines_of(goods, freight, prices.places))
    new = _Made(
        **{
            name: np.concatenate([getattr(each, name) for each in made])
            for name in ("quote", "rank", "kind", "cost")
        }
    )
    ranks = _ranks(packed, prices, freight)
    return _merged(packed, replace(lines, failed=failed), ranks, new)


def _suppliers(packed: PackedColumns, prices: PriceColumns, freight: FreightColumns) -> Ints:
    """Who brings what each line needs, if anybody whom the list has terms for."""
    if not len(prices.keys):
        return np.full(len(packed.lines), NOBODY, np.int64)
    at, found = prices.find(packed.lines["item"])
    is_goods = found & (packed.lines["kind"] == _MATERIAL)
    is_goods &= ~_crowded(packed, freight)[packed.quote]
    is_goods[packed.other_line[packed.others["unit"] == form.STOCK]] = False
    return np.where(is_goods, freight.supplier[at], NOBODY)


def _goods(packed: PackedColumns, lines: Lines, supplier: Ints, suppliers: int) -> _Goods:
    at = np.flatnonzero(supplier != NOBODY)
    pairs, place = np.unique(packed.quote[at] * suppliers + supplier[at], return_inverse=True)
    mass, pallets = _weights(packed)
    cost, count = np.zeros(len(pairs), np.int64), np.zeros(len(pairs), np.int64)
    np.add.at(cost, place, lines.cost[at])
    np.add.at(count, place, pallets[at])
    return _Goods(
        quote=pairs // suppliers,
        supplier=pairs % suppliers,
        cost=cost,
        mass_kg=np.bincount(place, weights=mass[at], minlength=len(pairs)),
        pallets=count,
    )


def _weights(packed: PackedColumns) -> tuple[np.ndarray, Ints]:
    """Weight and pallets of each line, as far as they are known."""
    mass, pallets = np.zeros(len(packed.lines)), np.zeros(len(packed.lines), np.int64)
    of_mass = packed.others["unit"] == form.MASS
    held = np.ascontiguousarray(packed.others["amount"][of_mass])
    mass[packed.other_line[of_mass]] = held.view(np.float64)
    on_pallets = packed.others["unit"] == form.PALLETS
    pallets[packed.other_line[on_pallets]] = packed.others["amount"][on_pallets]
    return mass, pallets


def _unsure(packed: PackedColumns, goods: _Goods, freight: FreightColumns) -> Bools:
    """The quotes that go the ordinary way."""
    failed = np.zeros(len(packed.quotes), np.bool_)
    own = np.flatnonzero(packed.own_price >= 0)
    moved = packed.own_prices["use"][packed.own_price[own]] == form.NAMED_OVERRIDE
    failed[packed.quote[own[moved]]] = True
    failed |= _crowded(packed, freight)
    unweighed = packed.quotes["format"][goods.quote] < form.WEIGHED_SINCE
    failed[goods.quote[unweighed]] = True
    loads = _shares(goods, freight)
    edge = np.abs(loads - np.rint(loads)) <= _SURE * np.maximum(loads, 1)
    many = (loads > _MOST_LOADS) | (goods.pallets > _MOST_LOADS)
    failed[goods.quote[edge | many | ~freight.exact[goods.supplier]]] = True
    return failed


def _shares(goods: _Goods, freight: FreightColumns) -> np.ndarray:
    """How many loads the weight makes, before they are rounded up."""
    return goods.mass_kg / freight.load_mass_kg[goods.supplier] - CLOSE_SHARE


def _crowded(packed: PackedColumns, freight: FreightColumns) -> Bools:
    """Quotes of more lines than can be counted with those of freight."""
    crowded: Bools = packed.quotes["lines"] >= form.NO_LINE - 3 * len(freight.names)
    return crowded


def _lines_of(goods: _Goods, freight: FreightColumns, places: int) -> Iterator[_Made]:
    """Loads of each pair; small orders and pallets of those that have them."""
    of = goods.supplier
    by_mass = np.ceil(np.minimum(_shares(goods, freight), _MOST_LOADS)).astype(np.int64)
    by_pallets = -(-goods.pallets // freight.load_pallets[of])
    loads = np.maximum(1, np.maximum(by_mass, by_pallets))
    every = np.arange(len(of))
    small = np.flatnonzero(goods.cost < freight.minimum_order[of])
    stacked = np.flatnonzero((goods.pallets > 0) & (freight.pallet_deposit[of] > 0))
    one = np.ones(len(of), np.int64)
    table = (
        (every, loads, freight.per_load, _DELIVERY, 0),
        (small, one, freight.below_minimum, _FEE, 1),
        (stacked, goods.pallets, freight.pallet_deposit, _FEE, 2),
    )
    scale = np.int64(10 ** (form.UNIT_COST_PLACES - places))
    for chosen, amount, each, kind, which in table:
        yield _Made(
            quote=goods.quote[chosen],
            rank=freight.rank[of[chosen], which],
            kind=np.full(len(chosen), kind, np.int64),
            cost=half_up(amount[chosen] * each[of[chosen]], np.full(len(chosen), scale)),
        )


def _merged(
    packed: PackedColumns, lines: Lines, ranks: Ints, new: _Made
) -> tuple[PackedColumns, Lines]:
    """New lines among the others: by quote, group, and in the group of deliveries by name."""
    count = len(new.quote)
    rows = np.zeros(count, form.LINE)
    rows["group"], rows["kind"] = _GROUP, new.kind
    every = np.concatenate([rows, packed.lines])
    quote = np.concatenate([new.quote, packed.quote])
    rank = np.concatenate([new.rank, ranks])
    group = every["group"].astype(np.int64)
    order = np.lexsort((rank, _PLACES[group], quote))
    quotes = packed.quotes.copy()
    quotes["lines"] += np.bincount(new.quote, minlength=len(quotes)).astype(quotes["lines"].dtype)
    held, group = quote[order], group[order]
    many = quotes["lines"].astype(np.int64)
    segment = np.flatnonzero(np.diff(held * len(form.GROUP_CODES) + group, prepend=-1))
    none, shown = np.full(count, -1, np.int64), np.ones(count, np.bool_)
    merged = replace(
        packed,
        quotes=quotes,
        lines=every[order],
        own_price=np.concatenate([none, packed.own_price])[order],
        quote=held,
        start=np.cumsum(many) - many,
        segment=segment,
        segment_group=group[segment],
    )
    cost, present = np.concatenate([new.cost, lines.cost]), np.concatenate([shown, lines.present])
    return merged, Lines(cost=cost[order], present=present[order], failed=lines.failed)


def _ranks(packed: PackedColumns, prices: PriceColumns, freight: FreightColumns) -> Ints:
    """Where the items of deliveries stand by name; 0 of what else there is, whose order stays."""
    ranks = np.zeros(len(packed.lines), np.int64)
    at = np.flatnonzero(packed.lines["group"] == _GROUP)
    if len(prices.keys):
        ranks[at] = freight.item_rank[prices.find(packed.lines["item"][at])[0]]
    return ranks
