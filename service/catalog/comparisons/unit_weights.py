"""Weight, volume, density and holes of each unit, and what the laid wall weighs."""

from __future__ import annotations

from collections.abc import Iterator

from service.catalog.comparisons.finding import Finding
from service.catalog.documents.entry import AGREEMENT, agree, difference
from service.catalog.documents.yardstick import Bounds, Yardstick
from service.catalog.registry import Catalog, CoreEntry
from service.core.errors import Fault
from service.core.job.wall_system import WallSystem, WallUnit
from service.core.measure import STANDARD_GRAVITY
from service.units import publish_measure


def unit_weight_findings(catalog: Catalog) -> Iterator[Finding]:
    """Units lighter or heavier than concrete, and walls that don't weigh what is in them."""
    for entry in catalog.wall_systems.values():
        for yardstick in catalog.yardsticks.values():
            yield from _concrete(entry, yardstick.core)
            yield from _in_place(entry, yardstick.core)


def _concrete(entry: CoreEntry[WallSystem], of: Yardstick) -> Iterator[Finding]:
    if of.concrete_usual is None or of.concrete_possible is None:
        return
    for name in ("standard", "corner", "cap"):
        unit: WallUnit | None = getattr(entry.core, name)
        if unit is None or unit.weight_kg is None:
            continue
        density = unit.weight_kg / (_box_m3(unit) - unit.void_m3)
        if not of.concrete_usual.hold(density):
            fault = _density_fault(entry.file, name, density, of.concrete_usual)
            yield Finding(fault, impossible=not of.concrete_possible.hold(density))


def _density_fault(file: str, name: str, density: float, usual: Bounds) -> Fault:
    return Fault(
        code="unit-density",
        at=(file, "units", name, "weight"),
        message=f"is {_pcf(density)} of the unit's volume without holes",
        hint=f"{_pcf(usual.least)} to {_pcf(usual.most)}: look at the weight, at void_volume and "
        "at the three lengths",
    )


def _in_place(entry: CoreEntry[WallSystem], of: Yardstick) -> Iterator[Finding]:
    """The laid wall weighs its units and what fills their holes."""
    unit, stated_n_m3 = entry.core.standard, entry.core.in_place_weight_n_m3
    if stated_n_m3 is None or unit.weight_kg is None or of.core_fill_kg_m3 is None:
        return
    stated, box = stated_n_m3 / STANDARD_GRAVITY, _box_m3(unit)
    filled = (unit.weight_kg + unit.void_m3 * of.core_fill_kg_m3) / box
    if agree(stated, filled):
        return
    fault = Fault(
        code="in-place-weight-disagrees",
        at=(entry.file, "in_place", "unit_weight"),
        message=f"differs from the weight of a filled unit by {difference(stated, filled)}",
        hint=f"(weight + void_volume x {_pcf(of.core_fill_kg_m3)}) / volume = {_pcf(filled)} "
        "within 2 %",
    )
    yield Finding(fault, impossible=stated < unit.weight_kg / box * (1 - AGREEMENT))


def _box_m3(unit: WallUnit) -> float:
    return unit.face_length_m * unit.height_m * unit.depth_m


def _pcf(density: float) -> str:
    shown = float(publish_measure(density, "density", "pcf")["value"])
    return f"{shown:.1f} pcf ({density:.0f} kg/m3)"
