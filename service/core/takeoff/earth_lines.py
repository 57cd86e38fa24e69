"""Soil that is carried away or bought, as quantity lines: rule 13.13.

They are paid by loose volume, by weight or by the load, and say how much that is in each way. What
leaves and comes is ordered as the item's material file sells it, else in the unit of its price.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.core.errors import QuoteFaultsError
from service.core.ground.balance import Earthwork, Haul
from service.core.job.material import Material
from service.core.job.terms import Kind
from service.core.job.topsoil import TOPSOIL
from service.core.measure import UNITS, UnitSet
from service.core.shares import Shares
from service.core.takeoff.haulage import Haulage, Loads, order_haulage, truck_missing, weight_words
from service.core.takeoff.need import Need
from service.core.takeoff.ordering import order_ways
from service.core.takeoff.quantities import QuantityLine

HAUL_OFF = "haul_off"
IMPORT_FILL = "import_fill"
# Before the name of an area where it stands among walls.
AREA_PREFIX = "grading: "


@dataclass(frozen=True, slots=True, kw_only=True)
class _Carried:
    """One way that soil goes: the item, what it is, its kind of cost, how much it is (loads None
    without a truck), and whose it is."""

    item: str
    title: str
    kind: Kind
    loose_m3: float
    mass_kg: float
    loads: int | None
    shares: Shares


def earth_lines(
    earth: Earthwork, materials: Mapping[str, Material], units: UnitSet
) -> tuple[QuantityLine, ...]:
    """Lines for what leaves the site and what comes to it, whichever there is.

    Raises QuoteFaultsError (`truck-missing`) where a material file sells it by the load and no
    truck says what a load is.
    """
    lines = [
        _line(carried, materials.get(carried.item), units)
        for carried in _carried(earth)
        if carried.loose_m3 > 0
    ]
    return (*lines, *_topsoil_lines(earth, materials, units))


def _topsoil_lines(
    earth: Earthwork, materials: Mapping[str, Material], units: UnitSet
) -> Iterator[QuantityLine]:
    """Topsoil that is bought to be put back, as its material file sells it; it belongs to no
    wall. What tasks of site work buy comes with them."""
    if earth.topsoil is None or earth.topsoil.short_put_back_m3 <= 0:
        return
    material = materials.get(TOPSOIL)
    need = Need(
        item=TOPSOIL,
        group="earth",
        net=earth.topsoil.short_put_back_m3,
        dimension="volume",
        waste=Decimal(0),
    )
    ways = order_ways(need, material, units)
    ordered = ways.bought
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
        packs=ordered.packs,
        weight_kg=ordered.weight_kg,
        pack_content=ordered.pack_content,
        pack_unit=ordered.pack_unit,
        pack_word=ordered.pack_word,
        increment_assumed=ordered.increment_assumed,
        ways=ways,
        stock=ordered.stock,
    )


def _carried(earth: Earthwork) -> Iterator[_Carried]:
    cut = [(part.wall, part.cut_m3) for part in earth.walls]
    placed = [(part.wall, part.backfill_m3 + part.fill_m3) for part in earth.walls]
    cut += [(f"{AREA_PREFIX}{area.name}", area.cut_m3) for area in earth.graded]
    placed += [(f"{AREA_PREFIX}{area.name}", area.fill_m3) for area in earth.graded]
    off = [earth.haul_off, *([earth.topsoil_off] if earth.topsoil_off else [])]
    title = "Soil hauled off, topsoil left over included" if earth.topsoil else "Soil hauled off"
    yield _together(HAUL_OFF, title, "disposal", off, cut)
    yield _together(IMPORT_FILL, "Imported fill", "material", [earth.imported], placed)


def _together(
    item: str, title: str, kind: Kind, hauls: list[Haul], parts: list[tuple[str, float]]
) -> _Carried:
    """Hauls of one item; their loads stay apart, as they are different soil."""
    loose = math.fsum(haul.loose_m3 for haul in hauls)
    loads = [haul.loads for haul in hauls if haul.loads is not None]
    return _Carried(
        item=item,
        title=title,
        kind=kind,
        loose_m3=loose,
        mass_kg=math.fsum(haul.mass_kg for haul in hauls),
        loads=sum(loads) if loads else None,
        shares=_shares(parts, loose),
    )


def _shares(parts: list[tuple[str, float]], total: float) -> Shares:
    """The loose volume shared out by what each part digs or places."""
    weight = math.fsum(amount for _, amount in parts)
    return tuple((name, total * amount / weight) for name, amount in sorted(parts) if amount > 0)


def _line(carried: _Carried, material: Material | None, units: UnitSet) -> QuantityLine:
    haulage = _haulage(carried, material, units)
    ordered = order_haulage(haulage, haulage.sold)
    if ordered is None:
        raise QuoteFaultsError([truck_missing(carried.item)])
    return QuantityLine(
        item=carried.item,
        description=material.title if material else carried.title,
        group="earth",
        net=carried.loose_m3,
        dimension="volume",
        waste=Decimal(0),
        order=ordered.amount,
        order_unit=ordered.unit.symbol,
        sold_per=ordered.unit.symbol,
        shares=carried.shares,
        how=(*haulage.how, ordered.how),
        weight_kg=carried.mass_kg,
        kind=carried.kind,
        increment_assumed=ordered.increment_assumed,
        haulage=haulage,
    )


def _haulage(carried: _Carried, material: Material | None, units: UnitSet) -> Haulage:
    """By loose volume where neither a file nor a price says otherwise."""
    sold = material.sold_per if material else None
    return Haulage(
        volume_m3=carried.loose_m3,
        mass_kg=carried.mass_kg,
        loads=None if carried.loads is None else Loads(count=carried.loads),
        sold=sold or UNITS[units.volume],
        settled=sold is not None,
        increment=material.increment if material else None,
        how=_soil_words(carried, units),
    )


def _soil_words(carried: _Carried, units: UnitSet) -> tuple[str, ...]:
    loose = units.show(carried.loose_m3, "volume")
    mass = weight_words(carried.mass_kg, units)
    return (f"{carried.title}: {loose} loose; its balance stands in earthwork", mass)
