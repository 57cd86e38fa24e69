"""Soil that is carried away or bought, as quantity lines: rule 13.13.

The lines are priced by loose volume, by weight or by load: as the item's material file sells it,
else as its price is per.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.core.errors import Fault, QuoteFaultsError
from service.core.ground.balance import Earthwork, Haul
from service.core.job.material import Material
from service.core.job.price_list import PriceList
from service.core.job.terms import Kind
from service.core.measure import UNITS, Dimension, Unit, UnitSet, number
from service.core.rounding import whole_increments
from service.core.shares import Shares
from service.core.takeoff.ordering import OTHER_INCREMENT, Need, order
from service.core.takeoff.quantities import QuantityLine

HAUL_OFF = "haul_off"
TOPSOIL = "topsoil"
IMPORT_FILL = "import_fill"
# Before the name of an area where it stands among walls.
AREA_PREFIX = "grading: "


@dataclass(frozen=True, slots=True, kw_only=True)
class _Carried:
    """One way that soil goes: the item, what it is, its kind of cost, and whose it is."""

    item: str
    title: str
    kind: Kind
    haul: Haul
    shares: Shares


def earth_lines(
    earth: Earthwork, materials: Mapping[str, Material], prices: PriceList, units: UnitSet
) -> tuple[QuantityLine, ...]:
    """Lines for what leaves the site and what comes to it, whichever there is."""
    lines = [
        _line(carried, materials.get(carried.item), prices, units)
        for carried in _carried(earth)
        if carried.haul.loose_m3 > 0
    ]
    return (*lines, *_topsoil_lines(earth, materials, units))


def _topsoil_lines(
    earth: Earthwork, materials: Mapping[str, Material], units: UnitSet
) -> Iterator[QuantityLine]:
    """Topsoil that is bought, as its material file sells it; it belongs to no wall."""
    if earth.topsoil is None or earth.topsoil.short_m3 <= 0:
        return
    material = materials.get(TOPSOIL)
    need = Need(
        item=TOPSOIL,
        group="earth",
        net=earth.topsoil.short_m3,
        dimension="volume",
        waste=Decimal(0),
    )
    ordered = order(need, material, units)
    yield QuantityLine(
        item=TOPSOIL,
        description=material.title if material else "topsoil",
        group="earth",
        net=need.net,
        dimension="volume",
        waste=need.waste,
        order=ordered.order,
        order_unit=ordered.order_unit,
        sold_per=ordered.sold_per,
        shares=(),
        how=("topsoil that is put back beyond what was stripped", *ordered.how),
        weight_kg=ordered.weight_kg,
        increment_assumed=ordered.increment_assumed,
    )


def _together(one: Haul, other: Haul | None) -> Haul:
    """Two hauls of one item; their loads stay apart, as they are different soil."""
    if other is None or other.loose_m3 <= 0:
        return one
    loads = None if one.loads is None or other.loads is None else one.loads + other.loads
    return Haul(
        bank_m3=one.bank_m3 + other.bank_m3,
        loose_m3=one.loose_m3 + other.loose_m3,
        mass_kg=one.mass_kg + other.mass_kg,
        loads=loads,
    )


def _carried(earth: Earthwork) -> Iterator[_Carried]:
    cut = [(part.wall, part.cut_m3) for part in earth.walls]
    placed = [(part.wall, part.backfill_m3 + part.fill_m3) for part in earth.walls]
    cut += [(f"{AREA_PREFIX}{area.name}", area.cut_m3) for area in earth.graded]
    placed += [(f"{AREA_PREFIX}{area.name}", area.fill_m3) for area in earth.graded]
    off = _together(earth.haul_off, earth.topsoil_off)
    yield _Carried(
        item=HAUL_OFF,
        title="soil hauled off, topsoil left over included" if earth.topsoil else "soil hauled off",
        kind="disposal",
        haul=off,
        shares=_shares(cut, off.loose_m3),
    )
    yield _Carried(
        item=IMPORT_FILL,
        title="imported fill",
        kind="material",
        haul=earth.imported,
        shares=_shares(placed, earth.imported.loose_m3),
    )


def _shares(parts: list[tuple[str, float]], total: float) -> Shares:
    """The loose volume shared out by what each part digs or places."""
    weight = math.fsum(amount for _, amount in parts)
    if weight <= 0:
        return ()
    return tuple((name, total * amount / weight) for name, amount in sorted(parts) if amount > 0)


def _line(
    carried: _Carried, material: Material | None, prices: PriceList, units: UnitSet
) -> QuantityLine:
    sold = _sold_unit(carried.item, material, prices, units)
    step = (material.increment if material else None) or OTHER_INCREMENT
    ordered, words = _ordered(carried.haul, sold, step)
    return QuantityLine(
        item=carried.item,
        description=material.title if material else carried.title,
        group="earth",
        net=carried.haul.loose_m3,
        dimension="volume",
        waste=Decimal(0),
        order=ordered,
        order_unit=sold.symbol,
        sold_per=sold.symbol,
        shares=carried.shares,
        how=(*_soil_words(carried, units), words),
        weight_kg=carried.haul.mass_kg,
        kind=carried.kind,
        increment_assumed=sold.dimension != "load" and not (material and material.increment),
    )


def _sold_unit(item: str, material: Material | None, prices: PriceList, units: UnitSet) -> Unit:
    """The unit of the item's file, else that of its price, else loose volume."""
    if material and material.sold_per:
        return material.sold_per
    price = prices.overrides.get(item) or prices.items.get(item)
    usable: tuple[Dimension, ...] = ("volume", "mass", "load")
    if price and price.per in UNITS and UNITS[price.per].dimension in usable:
        return UNITS[price.per]
    return UNITS[units.volume]


def _ordered(haul: Haul, sold: Unit, step: Decimal) -> tuple[Decimal, str]:
    if sold.dimension == "load":
        if haul.loads is None:
            raise QuoteFaultsError([_no_truck()])
        return Decimal(haul.loads), f"paid by the load: {haul.loads} load"
    amount = haul.mass_kg if sold.dimension == "mass" else haul.loose_m3
    ordered = whole_increments(amount / float(sold.si), step)
    return ordered, f"rounded up to {number(step)} {sold.symbol}: {number(ordered)} {sold.symbol}"


def _no_truck() -> Fault:
    return Fault(
        code="truck-missing",
        at=("rates",),
        message="soil is priced by the load, and the rates name no truck that a load would fill",
        hint="a [trucks.<id>] table with volume and payload, or a price by volume or weight",
    )


def _soil_words(carried: _Carried, units: UnitSet) -> tuple[str, ...]:
    loose = units.show(carried.haul.loose_m3, "volume")
    mass = units.show(carried.haul.mass_kg, "mass")
    return (f"{carried.title}: {loose} loose, {mass}; its balance stands in earthwork",)
