"""What becomes of the soil: cut reused as backfill and fill, the rest hauled off, more imported.

Rules 13.10 to 13.13. Bank soil swells when it is loaded (loose = bank x (1 + swell)) and shrinks
when it is placed (compacted = bank x (1 - shrink)); shrinkage is of the bank volume, so that a fill
takes fill / (1 - shrink) of bank soil. As bank volumes, each of the soil it consists of:
cut + import = backfill + fill + haul-off. Topsoil is apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from service.core.errors import Fault, QuoteFaultsError
from service.core.ground.earthwork import WallEarthwork
from service.core.job.machine import Truck
from service.core.job.soil import Soil
from service.core.job.topsoil import Topsoil
from service.core.measure import UnitSet
from service.core.money import counted
from service.core.rounding import whole_packs


@dataclass(frozen=True, slots=True, kw_only=True)
class GradedEarth:
    """Earthwork of an area: cut bank, fill compacted, topsoil in place; `behind` names the wall
    that it lies behind, with whose courses its fill comes up."""

    name: str
    cut_m3: float
    fill_m3: float
    behind: str | None = None
    stripped_m3: float = 0.0
    replaced_m3: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TopsoilBalance:
    """Topsoil in place: stripped, put back, taken by tasks of site work and heaped by others, and
    what is left over (hauled off) or short (bought): stripped + from the heap + short = put back +
    tasks + left over. What is left of the heap stays there."""

    stripped_m3: float
    replaced_m3: float
    tasks_m3: float = 0.0
    heaped_m3: float = 0.0

    @property
    def surplus_m3(self) -> float:
        """What of the strip nobody needs."""
        return max(0.0, self.stripped_m3 - self.replaced_m3 - self.tasks_m3)

    @property
    def short_put_back_m3(self) -> float:
        """What must be bought to be put back."""
        return max(0.0, self.replaced_m3 - self.stripped_m3 - self.heaped_m3)

    @property
    def served_m3(self) -> float:
        """What tasks get of strip and heap once all is put back."""
        own = self.stripped_m3 + self.heaped_m3 - self.replaced_m3
        return min(self.tasks_m3, max(0.0, own))

    @property
    def short_m3(self) -> float:
        """What must be bought in all."""
        return self.short_put_back_m3 + self.tasks_m3 - self.served_m3

    @property
    def from_heap_m3(self) -> float:
        """What is taken from the heap."""
        needed = self.replaced_m3 + self.tasks_m3 - self.stripped_m3
        return min(self.heaped_m3, max(0.0, needed))


@dataclass(frozen=True, slots=True, kw_only=True)
class Haul:
    """Soil that goes off the site or comes to it: as bank, loose in the truck, its mass, and loads
    (None without a truck)."""

    bank_m3: float
    loose_m3: float
    mass_kg: float
    loads: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Earthwork:
    """The whole job. `cut_m3` and `reused_m3` bank, `backfill_m3` and `fill_m3` compacted.
    `topsoil_off` is what of the topsoil is left over, loosened and weighed like the soil it lay
    on; it is no part of `haul_off`. `shared_cut_m3` (bank, contained in `cut_m3` once) is what
    more than one wall would dig; None where no cuts are one."""

    walls: tuple[WallEarthwork, ...]
    graded: tuple[GradedEarth, ...]
    cut_m3: float
    backfill_m3: float
    fill_m3: float
    reused_m3: float
    haul_off: Haul
    imported: Haul
    topsoil: TopsoilBalance | None
    topsoil_off: Haul | None = None
    shared_cut_m3: float | None = None
    how: tuple[str, ...] = ()


def loose_m3(bank_m3: float, soil: Soil) -> float:
    """Bank soil once it is dug."""
    return bank_m3 * (1 + float(soil.swell))


def bank_m3(compacted_m3: float, soil: Soil) -> float:
    """Bank soil that a compacted volume takes."""
    return compacted_m3 / (1 - float(soil.shrink))


def balance(
    walls: Sequence[WallEarthwork],
    graded: Sequence[GradedEarth],
    retained: Soil,
    fill: Soil | None,
    truck: Truck | None,
    topsoil: Topsoil | None,
    units: UnitSet,
) -> Earthwork:
    """Balance cut and fill over the whole job.

    The cut is `retained`; `fill` None is the same soil. Another fill is imported whole and nothing
    is reused. Raises QuoteFaultsError (`soil-not-reusable`).
    """
    placed = fill or retained
    own = placed.id == retained.id
    if own and not retained.reusable:
        raise QuoteFaultsError([_not_reusable(retained)])
    parts: tuple[WallEarthwork | GradedEarth, ...] = (*walls, *graded)
    cut = math.fsum(part.cut_m3 for part in parts)
    backfill = math.fsum(wall.backfill_m3 for wall in walls)
    filled = math.fsum(part.fill_m3 for part in parts)
    needed = bank_m3(backfill + filled, placed)
    reused = min(cut, needed) if own else 0.0
    top = _topsoil(parts, topsoil) if topsoil else None
    earth = Earthwork(
        walls=tuple(walls),
        graded=tuple(graded),
        cut_m3=cut,
        backfill_m3=backfill,
        fill_m3=filled,
        reused_m3=reused,
        haul_off=_haul(cut - reused, retained, truck),
        imported=_haul(needed - reused, placed, truck),
        topsoil=top,
        topsoil_off=_haul(top.surplus_m3, retained, truck) if top else None,
    )
    return replace(earth, how=tuple(_how(earth, retained, placed, truck, units)))


def _haul(volume_m3: float, soil: Soil, truck: Truck | None) -> Haul:
    loose = loose_m3(volume_m3, soil)
    return Haul(
        bank_m3=volume_m3,
        loose_m3=loose,
        mass_kg=loose * soil.loose_kg_m3,
        loads=loads(loose, soil, truck),
    )


def loads(volume_m3: float, soil: Soil, truck: Truck | None) -> int | None:
    """Truck loads of loose soil: never over the truck's volume, never over its payload."""
    if truck is None:
        return None
    return max(
        whole_packs(volume_m3, truck.volume_m3),
        whole_packs(volume_m3 * soil.loose_kg_m3, truck.payload_kg),
    )


def _topsoil(parts: Sequence[WallEarthwork | GradedEarth], topsoil: Topsoil) -> TopsoilBalance:
    return TopsoilBalance(
        stripped_m3=sum(part.stripped_m3 for part in parts),
        replaced_m3=sum(part.replaced_m3 for part in parts),
        tasks_m3=topsoil.tasks_m3,
        heaped_m3=topsoil.heaped_m3,
    )


def _not_reusable(soil: Soil) -> Fault:
    return Fault(
        code="soil-not-reusable",
        at=("soils", "fill"),
        message=f"{soil.title} ({soil.id}) may not go back as fill",
        hint="name another soil in soils.fill: it is imported, and the cut is hauled off",
    )


def _how(
    earth: Earthwork, retained: Soil, placed: Soil, truck: Truck | None, units: UnitSet
) -> Iterator[str]:
    """The working in words."""

    def show(volume_m3: float) -> str:
        return units.show(volume_m3, "volume")

    needed = earth.reused_m3 + earth.imported.bank_m3
    yield (
        f"backfill {show(earth.backfill_m3)} + fill {show(earth.fill_m3)} compacted / "
        f"(1 - {placed.shrink} shrink) = {show(needed)} bank of {placed.title}"
    )
    if placed.id == retained.id:
        yield (
            f"reused: {show(earth.reused_m3)} bank, the smaller of the cut {show(earth.cut_m3)} "
            "and what is needed"
        )
    else:
        yield f"nothing is reused: {placed.title} is imported, {retained.title} is hauled off"
    yield from _haul_how("haul off", earth.haul_off, retained, truck, units)
    yield from _haul_how("import", earth.imported, placed, truck, units)
    if earth.topsoil:
        top = earth.topsoil
        tasks = f"{show(top.tasks_m3)} for site work, " if top.tasks_m3 else ""
        heap = f"{show(top.from_heap_m3)} from the heap, " if top.from_heap_m3 else ""
        yield (
            f"topsoil in place: {show(top.stripped_m3)} stripped, {heap}{show(top.replaced_m3)} "
            f"put back, {tasks}{show(top.surplus_m3)} left over, {show(top.short_m3)} short"
        )


def _haul_how(
    name: str, haul: Haul, soil: Soil, truck: Truck | None, units: UnitSet
) -> Iterator[str]:
    if haul.loose_m3 <= 0:
        return
    bank, loose = (units.show(volume, "volume") for volume in (haul.bank_m3, haul.loose_m3))
    words = (
        f"{name}: {bank} bank x (1 + {soil.swell} swell) = {loose} loose, "
        f"{units.show(haul.mass_kg, 'mass')}"
    )
    if truck is not None and haul.loads is not None:
        words += (
            f"; {counted(haul.loads, 'load')} of at most {units.show(truck.volume_m3, 'volume')} "
            f"and {units.show(truck.payload_kg, 'mass')}"
        )
    yield words
