"""What site work carries away, as quantity lines: what is tipped at one price, by the load, by
weight or by loose volume."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core.errors import QuoteFaultsError
from service.core.job.material import Material
from service.core.job.truck import Truck
from service.core.measure import UNITS, Dimension, Unit, UnitSet, number
from service.core.rounding import whole_increments, whole_packs
from service.core.takeoff.ordering import OTHER_INCREMENT
from service.core.takeoff.quantities import QuantityLine
from service.core.takeoff.site_uses import SiteUse, unreachable_fault, use_fault


def disposal_line(
    uses: Sequence[SiteUse], material: Material | None, truck: Truck | None, units: UnitSet
) -> QuantityLine:
    """The line of what is tipped at one price: by weight, by loose volume or by the load, as its
    material file says; without one as it is counted.

    Raises QuoteFaultsError where its weight isn't known but needed, or no truck says what a load
    is.
    """
    heap = _heap(uses, material)
    counted = uses[0].dimension if heap.of(uses[0].dimension) is not None else "mass"
    sold = material.sold_per if material and material.sold_per else UNITS[units.unit_for(counted)]
    step = (material.increment if material else None) or OTHER_INCREMENT
    ordered, words = _tipped(heap, sold, step, (uses[0], truck, units))
    return QuantityLine(
        item=uses[0].item,
        description=material.title if material else uses[0].title,
        group="site_work",
        net=heap.of(counted) or 0.0,
        dimension=counted,
        waste=Decimal(0),
        order=ordered,
        order_unit=sold.symbol,
        sold_per=sold.symbol,
        shares=(),
        how=(*(use.how for use in uses), *_weight_words(heap, material, units), words),
        weight_kg=heap.mass_kg,
        kind="disposal",
        increment_assumed=sold.dimension != "load" and not (material and material.increment),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heap:
    """What is carried away of one item: loose volume and mass, as far as they are known."""

    volume_m3: float | None
    mass_kg: float | None
    weighed: bool  # whether volumes were turned into mass

    def of(self, dimension: Dimension) -> float | None:
        """The heap in a dimension; None where it isn't known."""
        return {"volume": self.volume_m3, "mass": self.mass_kg}.get(dimension)


def _heap(uses: Sequence[SiteUse], material: Material | None) -> _Heap:
    """Volumes and masses of all uses; the one is turned into the other by the item's weight."""
    density = material.loose_kg_m3 if material else None
    volume = math.fsum(use.amount for use in uses if use.dimension == "volume")
    mass = math.fsum(use.amount for use in uses if use.dimension == "mass")
    if density:
        return _Heap(
            volume_m3=volume + mass / density,
            mass_kg=mass + volume * density,
            weighed=volume > 0,
        )
    return _Heap(
        volume_m3=None if mass else volume, mass_kg=None if volume else mass, weighed=False
    )


def _tipped(
    heap: _Heap, sold: Unit, step: Decimal, context: tuple[SiteUse, Truck | None, UnitSet]
) -> tuple[Decimal, str]:
    """The order in the unit in which it is tipped, with its arithmetic."""
    use, truck, units = context
    if sold.dimension == "load":
        return _loads(heap, use, truck, units)
    amount = heap.of(sold.dimension)
    if amount is None:
        raise QuoteFaultsError([unreachable_fault(use, sold.symbol)])
    ordered = whole_increments(amount / float(sold.si), step)
    return ordered, f"rounded up to {number(step)} {sold.symbol}: {number(ordered)} {sold.symbol}"


def _loads(heap: _Heap, use: SiteUse, truck: Truck | None, units: UnitSet) -> tuple[Decimal, str]:
    """Loads that are over neither volume nor payload of the truck."""
    if truck is None:
        message = (
            f"{use.item} is tipped by the load, and the rates name no truck that it would fill"
        )
        hint = "a [trucks.<id>] table with volume and payload, or tipping by weight or volume"
        raise QuoteFaultsError([use_fault(use, "truck-missing", message, hint)])
    counts, words = [], []
    if heap.volume_m3 is not None:
        counts.append(whole_packs(heap.volume_m3, truck.volume_m3))
        shown, held = (units.show(v, "volume") for v in (heap.volume_m3, truck.volume_m3))
        words.append(f"{shown} / {held} a load: {counts[-1]}")
    if heap.mass_kg is not None:
        counts.append(whole_packs(heap.mass_kg, truck.payload_kg))
        shown, held = (units.show(m, "mass") for m in (heap.mass_kg, truck.payload_kg))
        words.append(f"{shown} / {held} a load: {counts[-1]}")
    if not counts:
        raise QuoteFaultsError([unreachable_fault(use, "load")])
    return Decimal(max(counts)), f"{'; '.join(words)}; paid by the load: {max(counts)} load"


def _weight_words(heap: _Heap, material: Material | None, units: UnitSet) -> tuple[str, ...]:
    if not heap.weighed or material is None or material.loose_kg_m3 is None or not heap.mass_kg:
        return ()
    per = units.show(material.loose_kg_m3 * float(UNITS[units.volume].si), "mass")
    return (f"at {per} for 1 {units.volume} loose: {units.show(heap.mass_kg, 'mass')} in all",)
