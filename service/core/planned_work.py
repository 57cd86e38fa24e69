"""Who does what: conditions settled, machines chosen, work beside the walls, the order of work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from types import MappingProxyType

from service.core.ground.balance import Earthwork
from service.core.ground.own_topsoil import served_m3
from service.core.job.fact import Assumption
from service.core.job.job import Job
from service.core.job.rates import Rates
from service.core.labor.choosing.machine_sets import Options, choose_machines
from service.core.labor.derived import (
    SettledConditions,
    deciding_machines,
    settle_conditions,
)
from service.core.labor.earth_measure import measure_earth
from service.core.labor.fit import Misfit, SiteLimits, not_chosen, not_to_be_used
from service.core.labor.hours import Labor, MachineChoice, TaskHours
from service.core.labor.labor import task_timing
from service.core.labor.lifted import Lifted
from service.core.labor.sequencing.phases import Ordered, Phases, tell_phases
from service.core.labor.sequencing.sequenced import put_in_order, work_order
from service.core.labor.site_work import (
    SiteWork,
    Workforce,
    site_hours,
    take_off_site_work,
    with_site_work,
)
from service.core.labor.task_timing import TaskTiming
from service.core.labor.unit_rates import unit_weights
from service.core.layout.layout import WallLayout
from service.core.takeoff.quantities import Quantities


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWork:
    """Quantities with those of work beside the walls, and who does it in what order; `limits` are
    those under which the machines were chosen."""

    quantities: Quantities
    limits: SiteLimits
    labor: Labor | None
    phases: Phases | None
    assumptions: tuple[Assumption, ...]


def plan_work(
    job: Job,
    layouts: tuple[WallLayout, ...],
    quantities: Quantities,
    earthwork: Earthwork | None,
    lifts: Mapping[str, Lifted],
) -> PlannedWork:
    """Plan a job with its rates; without rates nobody works. `lifts` are the units by the height of
    their course (`lift_units`).

    Raises QuoteFaultsError for conditions, machines and site work that don't fit the rates.
    """
    plan = _Plan(job=job, layouts=layouts, lifts=lifts)
    settled = plan.settled(plan.machines_off)
    site = _site_work(job, plan.limits(settled, quantities), settled, quantities, earthwork)
    quantities = with_site_work(quantities, site)
    if job.rates is None:
        limits = plan.limits(settled, quantities)
        return PlannedWork(
            quantities=quantities, limits=limits, labor=None, phases=None, assumptions=()
        )
    ordered = _choose(plan, job.rates, quantities, earthwork, site)
    bought = [line for line in quantities.lines if line.kind == "material"]
    phases = tell_phases(ordered, job.rates, bought)
    left_out = _left_out(ordered.choice, job.rates, plan.machines_off)
    settled = plan.settled(left_out)
    return PlannedWork(
        quantities=quantities,
        limits=replace(plan.limits(settled, quantities), left_out=left_out),
        labor=phases.labor,
        phases=phases,
        assumptions=(*settled.assumptions, *phases.assumptions),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """A job, and its conditions as they follow from the machines that are left out, settled once
    for all that leave the same of those that decide."""

    job: Job
    layouts: tuple[WallLayout, ...]
    lifts: Mapping[str, Lifted]
    _settled: dict[frozenset[str], SettledConditions] = field(default_factory=dict)

    @property
    def machines_off(self) -> Mapping[str, Misfit]:
        """Machines that the request leaves out."""
        machines = self.job.rates.machines if self.job.rates else {}
        names = [name for name in self.job.machines_off if name in machines]
        return MappingProxyType({name: not_to_be_used(machines[name]) for name in names})

    def settled(self, left_out: Mapping[str, Misfit]) -> SettledConditions:
        """The conditions with the machines that are left."""
        key = deciding_machines(self.job.rates).intersection(left_out)
        if key not in self._settled:
            self._settled[key] = settle_conditions(self.job, self.layouts, self.lifts, left_out)
        return self._settled[key]

    def limits(self, settled: SettledConditions, quantities: Quantities) -> SiteLimits:
        """What decides whether a machine fits, of those that the request doesn't leave out."""
        placed = self.job.soils.fill or self.job.soils.retained
        return SiteLimits(
            access=self.job.access,
            pallet_kg=_heaviest_pallet_kg(self.job, quantities),
            weights=unit_weights(self.job.system),
            soil_kind=placed.kind if placed else None,
            lifted=settled.lifted,
            left_out=self.machines_off,
        )


def _left_out(
    choice: MachineChoice | None, rates: Rates, off: Mapping[str, Misfit]
) -> Mapping[str, Misfit]:
    """All machines but those that are chosen; those that are off where nobody chose."""
    if choice is None:
        return off
    chosen = choice.chosen.machines
    others = {n: not_chosen(machine) for n, machine in rates.machines.items() if n not in chosen}
    return {**others, **off}


def _site_work(
    job: Job,
    limits: SiteLimits,
    settled: SettledConditions,
    quantities: Quantities,
    earthwork: Earthwork | None,
) -> SiteWork:
    """Work beside the walls; of material alone nothing is tipped and nobody works."""
    force = None
    if job.rates is not None:
        force = Workforce(rates=job.rates, conditions=settled.choices, limits=limits)
    site = take_off_site_work(
        job.site_work,
        quantities.lines,
        job.materials,
        job.units,
        truck=job.truck,
        workforce=force,
        own_topsoil_m3=0.0 if job.materials_only else served_m3(earthwork, job.site_work),
    )
    if not job.materials_only:
        return site
    return replace(site, lines=tuple(line for line in site.lines if line.kind == "material"))


def _choose(
    plan: _Plan,
    rates: Rates,
    quantities: Quantities,
    earthwork: Earthwork | None,
    site: SiteWork,
) -> Ordered:
    """The order of work, with the machines chosen."""
    job, settled = plan.job, plan.settled(plan.machines_off)
    first = task_timing(
        rates,
        settled.choices,
        quantities,
        job.units,
        measured=measure_earth(earthwork, rates.fill_reach_m),
        limits=plan.limits(settled, quantities),
        follows=settled.by_machines,
    )
    timed = {tuple(settled.choices.items()): first}

    def time(left: SiteLimits) -> TaskTiming:
        settled = plan.settled(left.left_out)
        key = tuple(settled.choices.items())
        if key not in timed:
            timed[key] = first.under(settled.choices)
        return timed[key]

    def hours_of_site(left: SiteLimits) -> tuple[TaskHours, ...]:
        conditions = plan.settled(left.left_out).choices
        force = Workforce(rates=rates, conditions=conditions, limits=left)
        return site_hours(site.entries, force, job.units)

    order = work_order(job, rates, plan.layouts, site)
    return choose_machines(
        Options(
            timing=first,
            retimed=time,
            entries=site.entries,
            site_hours=hours_of_site,
            order=partial(put_in_order, order, rates, job.units),
        )
    )


def _heaviest_pallet_kg(job: Job, quantities: Quantities) -> float | None:
    """The heaviest full pallet of the units that are ordered, where weights are known and no truck
    with a crane sets it down where it is used."""
    if job.access and job.access.crane_truck:
        return None
    ordered = [line.item for line in quantities.lines if line.order]
    units = (job.system.standard, job.system.corner, job.system.cap)
    pallets = (unit.pallet_kg for unit in units if unit and unit.item in ordered)
    return max((pallet for pallet in pallets if pallet is not None), default=None)
