"""Whether a machine can do its work here: the way to the wall, what it lifts, the soil."""

from __future__ import annotations

from collections.abc import Mapping
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
class Misfit:
    """Why a machine can't be used: a fault code, a sentence, and the field that decides."""

    code: str
    why: str
    at: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteLimits:
    """What decides whether a machine fits: the way, the heaviest unit (`task_timing` finds it), the
    heaviest full pallet, the soil that is placed. None: nobody said. `weights` are those of one
    unit of each kind, `choices` are those in force by condition; `lifted` are the units by the
    height of their course, where a condition goes by it and no choice is stated. `left_out` are
    machines that fit and are not used, with the reason."""

    access: Access | None = None
    unit_kg: float | None = None
    pallet_kg: float | None = None
    soil_kind: SoilKind | None = None
    weights: UnitWeights = field(default_factory=lambda: MappingProxyType({}))
    choices: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    lifted: Lifted | None = None
    left_out: Mapping[str, Misfit] = field(default_factory=lambda: MappingProxyType({}))


NOTHING_LEFT_OUT: Mapping[str, Misfit] = MappingProxyType({})
# The code of a machine that fits and is not among those chosen for the job.
NOT_CHOSEN = "machine-not-chosen"
# Nobody said how narrow the way is, so that every machine comes.
NO_LIMITS = SiteLimits()


def misfit(
    machine: Machine, task: MachineTask | None, limits: SiteLimits, units: UnitSet
) -> Misfit | None:
    """What keeps a machine from a task; None where nothing does, as far as anybody said."""
    reason = _way_misfit(machine, limits.access, units) if limits.access else None
    if task is not None:
        reason = (
            reason
            or _choice_misfit(machine, task, limits)
            or _load_misfit(machine, task, limits, units)
            or _soil_misfit(machine, task, limits)
        )
    return reason or limits.left_out.get(machine.id)


def not_to_be_used(machine: Machine) -> Misfit:
    """The reason of a machine that the request leaves out."""
    why = f"{machine.title} is not to be used"
    return Misfit(code="machine-off", why=why, at=("machines_off",))


def not_chosen(machine: Machine) -> Misfit:
    """The reason of a machine without which the job costs less, by what the rates choose by."""
    why = f"{machine.title} is not among the machines chosen for this job"
    return Misfit(code=NOT_CHOSEN, why=why, at=("rates", "choose_by"))


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


def _choice_misfit(machine: Machine, task: MachineTask, limits: SiteLimits) -> Misfit | None:
    """A condition that says it is done in another way."""
    for name, wanted in task.only_if.items():
        chosen = limits.choices.get(name, wanted)
        if chosen != wanted:
            elsewhere = f"{machine.title} does it only where it is {_words(wanted)}"
            why = f"{_words(name)} is {_words(chosen)}, and {elsewhere}"
            return Misfit(code="machine-ruled-out", why=why, at=("conditions", name))
    return None


def _words(named: str) -> str:
    """An id as people say it."""
    return named.replace("_", " ")


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
