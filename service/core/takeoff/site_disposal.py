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
    ordered = _ordered(haulage, uses, truck)
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
    """What is carried away of one item: loose volume and mass, as far as they are known; how it is
    counted, and how much it is so; `kg_m3` is by what volumes were turned into mass, if any."""

    volume_m3: float | None
    mass_kg: float | None
    counted: Dimension
    net: float
    kg_m3: float | None
    how: tuple[str, ...]


def _heap(uses: Sequence[SiteUse], material: Material | None) -> _Heap:
    """Volumes and masses of all uses, counted as the first of them; the one is turned into the
    other by the item's weight."""
    density = material.loose_kg_m3 if material else None
    volume = math.fsum(use.amount for use in uses if use.dimension == "volume")
    mass = math.fsum(use.amount for use in uses if use.dimension == "mass")
    kg_m3 = density if volume else None
    if density:
        volume, mass = volume + mass / density, mass + volume * density
    counted = uses[0].dimension
    return _Heap(
        volume_m3=volume if density or not mass else None,
        mass_kg=mass if density or not volume else None,
        counted=counted,
        net=volume if counted == "volume" else mass,
        kg_m3=kg_m3,
        how=tuple(use.how for use in uses),
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
        how=(*heap.how, *_weight_words(heap, units)),
    )


def _ordered(haulage: Haulage, uses: Sequence[SiteUse], truck: Truck | None) -> HaulOrder:
    """The order as its file says, or as it is counted."""
    ordered = order_haulage(haulage, haulage.sold)
    if ordered is not None:
        return ordered
    if haulage.sold.dimension == "load" and truck is None:
        raise QuoteFaultsError([_truck_missing(uses[0])])
    other = next(use for use in uses if use.dimension != haulage.sold.dimension)
    raise QuoteFaultsError([unreachable_fault(other, haulage.sold.symbol)])


def _truck_missing(use: SiteUse) -> Fault:
    message = f"{use.item} is tipped by the load, and the rates name no truck that it would fill"
    hint = "a [trucks.<id>] table with volume and payload, or tipping by weight or volume"
    return use_fault(use, "truck-missing", message, hint)


def _weight_words(heap: _Heap, units: UnitSet) -> tuple[str, ...]:
    if heap.mass_kg is None:
        return ()
    said = weight_words(heap.mass_kg, units)
    if heap.kg_m3 is None:
        return (said,)
    per = units.show(heap.kg_m3 * float(UNITS[units.volume].si), "mass")
    return (f"at {per} for 1 {units.volume} loose: {said}",)
