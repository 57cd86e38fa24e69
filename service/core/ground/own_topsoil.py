"""Topsoil of the job and its site work: what tasks take of it, and sod that is off already.

Rule 13.15.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from service.core.ground.balance import Earthwork, GradedEarth
from service.core.ground.earthwork import WallEarthwork
from service.core.job.site_task import SiteWorkEntry
from service.core.job.topsoil import NO_TOPSOIL, TOPSOIL, Topsoil
from service.core.measure import UnitSet


@dataclass(frozen=True, slots=True, kw_only=True)
class Stripped:
    """Walls and graded areas with what is stripped of them, sod taken off, in words where any."""

    walls: tuple[WallEarthwork, ...]
    areas: tuple[GradedEarth, ...]
    how: tuple[str, ...] = ()


def with_tasks(topsoil: Topsoil, entries: Sequence[SiteWorkEntry]) -> Topsoil:
    """What tasks of site work take by volume and what others heap, beside the depths."""
    rows = ((entry, row) for entry in entries for row in entry.task.materials)
    taken = (
        entry.of(row)
        for entry, row in rows
        if row.item == TOPSOIL and row.unit.dimension == "volume"
    )
    heaped = (entry.quantity for entry in entries if entry.task.heaps_topsoil)
    return replace(topsoil, tasks_m3=math.fsum(taken), heaped_m3=math.fsum(heaped))


def served_m3(earth: Earthwork | None, entries: Sequence[SiteWorkEntry]) -> float:
    """What tasks need not buy: of strip and heap, without a strip of the heap alone."""
    if earth and earth.topsoil:
        return earth.topsoil.served_m3
    topsoil = with_tasks(NO_TOPSOIL, entries)
    return min(topsoil.tasks_m3, topsoil.heaped_m3)


def take_sod_off(
    walls: Sequence[WallEarthwork],
    areas: Sequence[GradedEarth],
    entries: Sequence[SiteWorkEntry],
    topsoil: Topsoil | None,
    units: UnitSet,
) -> Stripped:
    """Strip less where site work takes sod off: over its area by its thickness, no more than the
    strip is deep, and on no more ground than is stripped."""
    parts: tuple[WallEarthwork | GradedEarth, ...] = (*walls, *areas)
    stripped_m3 = math.fsum(part.stripped_m3 for part in parts)
    taken = [(e.quantity, e.task.sod_m) for e in entries if e.task.sod_m and e.quantity]
    if topsoil is None or not stripped_m3 or not taken:
        return Stripped(walls=tuple(walls), areas=tuple(areas))
    sod_m2 = math.fsum(area for area, _ in taken)
    over = min(1.0, stripped_m3 / topsoil.strip_m / sod_m2)
    sod_m3 = over * math.fsum(area * min(thick, topsoil.strip_m) for area, thick in taken)
    left = 1 - sod_m3 / stripped_m3
    return Stripped(
        walls=tuple(replace(wall, stripped_m3=wall.stripped_m3 * left) for wall in walls),
        areas=tuple(replace(area, stripped_m3=area.stripped_m3 * left) for area in areas),
        how=tuple(_how(taken, (stripped_m3, sod_m3), over, topsoil, units)),
    )


def _how(
    taken: Sequence[tuple[float, float]],
    volumes: tuple[float, float],
    over: float,
    topsoil: Topsoil,
    units: UnitSet,
) -> Iterator[str]:
    """The working in words."""
    parts = " + ".join(
        f"{units.show(area * over, 'area')} x "
        f"{units.show(min(thick, topsoil.strip_m), 'length', units.small_length)}"
        for area, thick in taken
    )
    whole, sod = (units.show(volume, "volume") for volume in volumes)
    less = units.show(volumes[0] - volumes[1], "volume")
    yield f"sod that site work takes off stripped ground: {parts} = {sod}; {whole} - {sod} = {less}"
