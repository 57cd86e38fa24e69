"""Whether a machine can do its work here: the way to the wall, what it lifts, the soil."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType

from service.core.errors import Path
from service.core.job.access import Access
from service.core.job.machine import Machine
from service.core.job.rates import MachineTask
from service.core.job.soil import SoilKind
from service.core.labor.compaction import layer_m
from service.core.labor.lifted import Lifted
from service.core.labor.unit_rates import UnitWeights
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteLimits:
    """What decides whether a machine fits: the way, the heaviest unit (`schedule` finds it), the
    heaviest full pallet, the soil that is placed. None: nobody said. `weights` are those of one
    unit of each kind; `lifted` are the units by the height of their course, where a condition goes
    by it and no choice is stated."""

    access: Access | None = None
    unit_kg: float | None = None
    pallet_kg: float | None = None
    soil_kind: SoilKind | None = None
    weights: UnitWeights = field(default_factory=lambda: MappingProxyType({}))
    lifted: Lifted | None = None


# Nobody said how narrow the way is, so that every machine comes.
NO_LIMITS = SiteLimits()


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """Why a machine can't be used: a fault code, a sentence, and the field that decides."""

    code: str
    why: str
    at: Path


def misfit(
    machine: Machine, task: MachineTask | None, limits: SiteLimits, units: UnitSet
) -> Misfit | None:
    """What keeps a machine from a task; None where nothing does, as far as anybody said."""
    way = _way_misfit(machine, limits.access, units) if limits.access else None
    if way or task is None:
        return way
    return _load_misfit(machine, task, limits, units) or _soil_misfit(machine, task, limits)


def _way_misfit(machine: Machine, access: Access, units: UnitSet) -> Misfit | None:
    """Stairs, width, and what the way carries; a machine without a width goes anywhere."""
    if machine.width_m is not None and access.stairs:
        why = f"{machine.title} can't climb the {access.stairs} steps on the way"
        return Misfit(code="machine-stopped-by-stairs", why=why, at=("access", "stairs"))
    return _width_misfit(machine, access, units) or _weight_misfit(machine, access, units)


def _width_misfit(machine: Machine, access: Access, units: UnitSet) -> Misfit | None:
    """Width, tracks drawn in, and clearance are no more than the narrowest passage."""
    if machine.width_m is None or access.narrowest_m is None:
        return None
    drawn_in = machine.width_drawn_in_m
    width = machine.width_m if drawn_in is None else drawn_in
    if width + machine.clearance_m <= access.narrowest_m + CLOSE_M:
        return None
    why = (
        f"{machine.title} is {units.show(width, 'length')} wide"
        f"{'' if drawn_in is None else ' with its tracks drawn in'} and needs "
        f"{units.show(machine.clearance_m, 'length')} of clearance, the narrowest passage is "
        f"{units.show(access.narrowest_m, 'length')}"
    )
    return Misfit(code="machine-too-wide", why=why, at=("access", "narrowest_passage"))


def _weight_misfit(machine: Machine, access: Access, units: UnitSet) -> Misfit | None:
    limit = access.load_limit_kg
    if limit is not None and machine.weight_kg is not None and machine.weight_kg > limit:
        why = (
            f"{machine.title} weighs {units.show(machine.weight_kg, 'mass')}, the way carries "
            f"{units.show(limit, 'mass')}"
        )
        return Misfit(code="machine-too-heavy", why=why, at=("access", "load_limit"))
    return None


def _load_misfit(
    machine: Machine, task: MachineTask, limits: SiteLimits, units: UnitSet
) -> Misfit | None:
    """A unit heavier than the machine may lift."""
    rated, unit = machine.rated_load_kg, limits.unit_kg
    if not task.lifts_units or rated is None or unit is None or unit <= rated:
        return None
    why = (
        f"{machine.title} may lift {units.show(rated, 'mass')}, the heaviest unit weighs "
        f"{units.show(unit, 'mass')}"
    )
    return Misfit(code="machine-overloaded", why=why, at=("wall_system",))


def _soil_misfit(machine: Machine, task: MachineTask, limits: SiteLimits) -> Misfit | None:
    """A soil that the machine doesn't compact: a plate on clay."""
    timed_by_soil = task.hours_per_unit is None or task.compacts
    if not timed_by_soil or machine.compaction is None:
        return None
    if layer_m(machine.compaction, limits.soil_kind) is not None:
        return None
    why = f"{machine.title} doesn't compact {limits.soil_kind}"
    return Misfit(code="soil-not-compacted", why=why, at=("soils",))
