"""The delivery terms of a price list, made ready for many quotes: one entry a supplier."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from service.core.fraction import Fraction
from service.core.job.price_list import DeliveryTerms, PriceList
from service.core.price.delivery import freight_items
from service.core.reprice import packed_format as form

_Ints = NDArray[np.int64]
# This much, in millionths, of one sum and more goes the ordinary way: products with counts fit.
_MOST_SUM = 10**13
_NO_LIMIT = 2**40
NOBODY = -1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FreightColumns:
    """Suppliers in the order of their names. Sums are millionths, the minimum order whole minor
    units, rounded up; no limit of a load is a very large one. `exact`: whether the terms fit.

    `supplier` is by item of the list, NOBODY where none is named for whom there are terms;
    `item_rank` says where an item stands by name among all, `rank` the same of a supplier's lines:
    loads, small order, pallets.
    """

    names: tuple[str, ...]
    per_load: _Ints
    load_mass_kg: NDArray[np.float64]
    load_pallets: _Ints
    minimum_order: _Ints
    below_minimum: _Ints
    pallet_deposit: _Ints
    exact: NDArray[np.bool_]
    rank: _Ints
    supplier: _Ints
    item_rank: _Ints


def freight_columns(prices: PriceList, keys: Sequence[int]) -> FreightColumns | None:
    """The terms of a list, and what they are to its items by key; None without any."""
    if not prices.delivery:
        return None
    names = tuple(sorted(prices.delivery))
    terms = [prices.delivery[name] for name in names]
    items = {form.item_key(item): item for item in prices.items}
    own = [freight_items(name, prices) for name in names]
    ordered = sorted({*items.values(), *(item for each in own for item in each)})
    places = {name: at for at, name in enumerate(names)}
    held = [items[key] for key in keys]
    return FreightColumns(
        names=names,
        load_mass_kg=np.array([each.load_mass_kg or math.inf for each in terms], np.float64),
        load_pallets=np.array([each.load_pallets or _NO_LIMIT for each in terms], np.int64),
        minimum_order=np.array([_minimum(each, prices.minor_places) for each in terms], np.int64),
        **{name: _sums(terms, name) for name in ("per_load", "below_minimum", "pallet_deposit")},
        exact=np.array([_fits(each) for each in terms], np.bool_),
        rank=np.array([[bisect_left(ordered, item) for item in each] for each in own], np.int64),
        supplier=np.array([_place(prices, item, places) for item in held], np.int64),
        item_rank=np.array([bisect_left(ordered, item) for item in held], np.int64),
    )


def _place(prices: PriceList, item: str, places: Mapping[str, int]) -> int:
    return places.get(prices.items[item].supplier or "", NOBODY)


def _sums(terms: Sequence[DeliveryTerms], name: str) -> _Ints:
    return np.array([_scaled(getattr(each, name)) or 0 for each in terms], np.int64)


def _fits(terms: DeliveryTerms) -> bool:
    sums = (terms.per_load, terms.below_minimum, terms.pallet_deposit)
    return None not in map(_scaled, sums) and terms.minimum_order < _MOST_SUM


def _minimum(terms: DeliveryTerms, places: int) -> int:
    minimum = Fraction(min(terms.minimum_order, Decimal(_MOST_SUM)))
    return math.ceil(minimum * Fraction(10) ** places)


def _scaled(amount: Decimal) -> int | None:
    """Millionths, where an amount is a whole number of them and not too many."""
    exact = Fraction(amount) * 10**form.UNIT_COST_PLACES
    return exact.numerator if exact.denominator == 1 and exact < _MOST_SUM else None
