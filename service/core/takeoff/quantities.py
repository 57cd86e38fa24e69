"""What the takeoff hands on: one line an item over all walls, and what work is measured by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.core.job.measured import Measured
from service.core.job.section import Group
from service.core.job.terms import Kind
from service.core.measure import Dimension
from service.core.shares import Shares
from service.core.takeoff.haulage import Haulage


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityLine:
    """One item over all walls.

    `net` is the amount in place (SI, or pieces) before waste; `order` what is paid, in
    `order_unit` (a unit symbol or a pack word) and priced per `sold_per` (a unit symbol or
    `pack`); a pack holds `pack_content` of `pack_unit`, so that a price of that dimension can be
    converted (None: only a price per pack will do). `packs` tells pallets, rolls, bags: (count,
    word). `haulage`: it is carried by truck, and its price decides in which unit it is ordered.
    """

    item: str
    description: str
    group: Group
    net: float
    dimension: Dimension
    waste: Decimal
    order: Decimal
    order_unit: str
    sold_per: str
    shares: Shares
    how: tuple[str, ...]
    packs: tuple[int, str] | None = None
    weight_kg: float | None = None
    kind: Kind = "material"
    pack_content: Decimal | None = None
    pack_unit: str | None = None
    increment_assumed: bool = False
    haulage: Haulage | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantities:
    """The takeoff: lines in order (rule 17), and what work is measured by, wall by wall."""

    lines: tuple[QuantityLine, ...]
    measured: Mapping[Measured, Shares]
    delivered_kg: float
    not_weighed: tuple[str, ...]
