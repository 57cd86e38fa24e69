"""Supplier costs by item, and what the caller changed for one quote."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemPrice:
    """Cost of one `per` of an item (a unit symbol, or `pack`); never negative."""

    unit_cost: Decimal
    per: str
    description: str | None = None
    supplier: str | None = None
    group: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """One immutable revision, or the costs that came inline (`id` and `revision` None).

    `minor_places` is the number of places of the currency's minor unit (ISO 4217).
    """

    currency: str
    minor_places: int
    items: Mapping[str, ItemPrice]
    id: str | None = None
    revision: int | None = None
    overrides: Mapping[str, ItemPrice] = field(default_factory=lambda: MappingProxyType({}))
