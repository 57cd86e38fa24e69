"""What the takeoff hands on: one line an item over all walls, and what work is measured by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from service.core.job.measured import Measured
from service.core.job.section import Group
from service.core.job.terms import Kind
from service.core.measure import Dimension
from service.core.shares import Shares
from service.core.takeoff.haulage import Haulage
from service.core.takeoff.need import Order, Ways


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityLine:
    """One item over all walls.

    `net` is the amount in place (SI, or pieces) before waste; `order` what is paid, in
    `order_unit` (a unit symbol or a pack word) and priced per `sold_per` (a unit symbol or
    `pack`); a pack holds `pack_content` of `pack_unit`, so that a price of that dimension can be
    converted (None: only a price per pack will do). `packs` tells pallets, rolls, bags: (count,
    word). `haulage`: it is carried by truck, and its price decides in which unit it is ordered.
    `ways`: what is ordered or charged of it, as its price says whether it is kept in stock; with
    `stock` it is charged from there, and no supplier brings it.
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
    pack_word: str | None = None
    increment_assumed: bool = False
    haulage: Haulage | None = None
    ways: Ways | None = None
    stock: bool = False


def ordered_line(line: QuantityLine, way: Order) -> QuantityLine:
    """A line as it is ordered in one of its ways; what stood of its last order in `how` goes."""
    before = line.how
    if line.ways is not None:
        last = line.ways.charged if line.stock else line.ways.bought
        before = line.how[: len(line.how) - len(last.how)]
    return replace(
        line,
        order=way.order,
        order_unit=way.order_unit,
        sold_per=way.sold_per,
        how=(*before, *way.how),
        packs=way.packs,
        weight_kg=way.weight_kg,
        pack_content=way.pack_content,
        pack_unit=way.pack_unit,
        pack_word=way.pack_word,
        increment_assumed=way.increment_assumed,
        stock=way.stock,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantities:
    """The takeoff: lines in order (rule 17), and what work is measured by, wall by wall."""

    lines: tuple[QuantityLine, ...]
    measured: Mapping[Measured, Shares]
    delivered_kg: float
    not_weighed: tuple[str, ...]
