"""Supplier costs by item, and what the caller changed for one quote."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import Literal, get_args

from service.core.measure import UNITS

PACK = "pack"  # whatever an item comes in
PackWord = Literal["pallet", "bag", "roll", "length"]
# What a price may be per: every unit of sale, the pack, or its word.
PRICED_PER: tuple[str, ...] = (*UNITS, PACK, *get_args(PackWord))


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemPrice:
    """Cost of one `per` of an item (a unit symbol, or `pack`); never negative. `stock`: whether it
    is kept in stock, so that what is used is charged; None: not said. `supplier_item`: the number
    under which its supplier knows it."""

    unit_cost: Decimal
    per: str
    description: str | None = None
    supplier: str | None = None
    group: str | None = None
    note: str | None = None
    stock: bool | None = None
    supplier_item: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveryTerms:
    """What a supplier asks to bring what is ordered.

    A load costs `per_load` and holds at most `load_mass_kg` and `load_pallets` (None: no limit).
    An order below `minimum_order` is charged `below_minimum` on top. Each pallet leaves
    `pallet_deposit`. `lead_days`: how long before it is needed an order has to be placed.
    """

    per_load: Decimal
    load_mass_kg: float | None = None
    load_pallets: int | None = None
    minimum_order: Decimal = Decimal(0)
    below_minimum: Decimal = Decimal(0)
    pallet_deposit: Decimal = Decimal(0)
    lead_days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """One immutable revision, or the costs that came inline (`id` and `revision` None).

    `minor_places` is the number of places of the currency's minor unit (ISO 4217). `delivery` is
    by supplier. `effective_from` is the first day on which a revision holds.
    """

    currency: str
    minor_places: int
    items: Mapping[str, ItemPrice]
    id: str | None = None
    revision: int | None = None
    overrides: Mapping[str, ItemPrice] = field(default_factory=lambda: MappingProxyType({}))
    delivery: Mapping[str, DeliveryTerms] = field(default_factory=lambda: MappingProxyType({}))
    effective_from: date | None = None
