"""What site work carries away, as quantity lines: what is tipped at one price, by the load, by
weight or by loose volume."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.measure import UNITS, Dimension, UnitSet
from service.core.takeoff.haulage import (
    Haulage,
    HaulOrder,
    count_loads,
    order_haulage,
    weight_words,
)
from service.core.takeoff.quantities import QuantityLine
from service.core.takeoff.site_uses import SiteUse, unreachable_fault, use_fault


def disposal_line(
    uses: Sequence[SiteUse], material: Material | None, truck: Truck | None, units: UnitSet
) -> QuantityLine:
    """The line of what is tipped at one price: ordered as its material file says, without one as
    it is counted; a price by another way of paying (volume, weight, load) orders it that way.

    Raises QuoteFaultsError where its weight isn't known but needed, or no truck says what a load
    is.
    """
    heap = _heap(uses, material)
    haulage = _haulage(heap, material, truck, units)
    ordered = _ordered(haulage, uses[0], truck)
    return QuantityLine(
        item=uses[0].item,
        description=material.title if material else uses[0].title,
        group="site_work",
        net=heap.net,
        dimension=heap.counted,
        waste=Decimal(0),
        order=ordered.amount,
        order_unit=ordered.unit.symbol,
        sold_per=ordered.unit.symbol,
        shares=(),
        how=(*haulage.how, ordered.how),
        weight_kg=heap.mass_kg,
        kind="disposal",
        increment_assumed=ordered.increment_assumed,
        haulage=haulage,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heap:
    """What is carried away of one item: loose volume and mass, as far as they are known, and by
    which of them it is counted; `weighed`: volumes were turned into mass."""

    volume_m3: float | None
    mass_kg: float | None
    by_volume: bool
    weighed: bool
    how: tuple[str, ...]

    @property
    def counted(self) -> Dimension:
        """The dimension in which it is counted."""
        return "volume" if self.by_volume else "mass"

    @property
    def net(self) -> float:
        """How much it is, as counted."""
        return (self.volume_m3 if self.by_volume else self.mass_kg) or 0.0


def _heap(uses: Sequence[SiteUse], material: Material | None) -> _Heap:
    """Volumes and masses of all uses; the one is turned into the other by the item's weight."""
    density = material.loose_kg_m3 if material else None
    volume = math.fsum(use.amount for use in uses if use.dimension == "volume")
    mass = math.fsum(use.amount for use in uses if use.dimension == "mass")
    by_volume, how = uses[0].dimension == "volume", tuple(use.how for use in uses)
    if density:
        return _Heap(
            volume_m3=volume + mass / density,
            mass_kg=mass + volume * density,
            by_volume=by_volume,
            weighed=volume > 0,
            how=how,
        )
    return _Heap(
        volume_m3=None if mass else volume,
        mass_kg=None if volume else mass,
        by_volume=by_volume and not mass,
        weighed=False,
        how=how,
    )


def _haulage(
    heap: _Heap, material: Material | None, truck: Truck | None, units: UnitSet
) -> Haulage:
    sold = material.sold_per if material else None
    return Haulage(
        volume_m3=heap.volume_m3,
        mass_kg=heap.mass_kg,
        loads=count_loads(heap.volume_m3, heap.mass_kg, truck, units) if truck else None,
        sold=sold or UNITS[units.unit_for(heap.counted)],
        settled=True,
        increment=material.increment if material else None,
        how=(*heap.how, *_weight_words(heap, material, units)),
    )


def _ordered(haulage: Haulage, use: SiteUse, truck: Truck | None) -> HaulOrder:
    """The order as its file says, or as it is counted."""
    ordered = order_haulage(haulage, haulage.sold)
    if ordered is not None:
        return ordered
    by_load = haulage.sold.dimension == "load"
    fault = _truck_missing(use) if by_load and truck is None else None
    raise QuoteFaultsError([fault or unreachable_fault(use, haulage.sold.symbol)])


def _truck_missing(use: SiteUse) -> Fault:
    message = f"{use.item} is tipped by the load, and the rates name no truck that it would fill"
    hint = "a [trucks.<id>] table with volume and payload, or tipping by weight or volume"
    return use_fault(use, "truck-missing", message, hint)


def _weight_words(heap: _Heap, material: Material | None, units: UnitSet) -> tuple[str, ...]:
    if heap.mass_kg is None:
        return ()
    said = weight_words(heap.mass_kg, units)
    if not heap.weighed or material is None or material.loose_kg_m3 is None:
        return (said,)
    per = units.show(material.loose_kg_m3 * float(UNITS[units.volume].si), "mass")
    return (f"at {per} for 1 {units.volume} loose: {said}",)
