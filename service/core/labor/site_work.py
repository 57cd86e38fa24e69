"""Site work: what was asked for beside the walls, split into material, tipping, labor, machines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.line_order import in_order
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.job.phase import PHASES, Phase
from service.core.job.rates import Rates
from service.core.job.site_task import SiteDisposal, SiteMaterial, SiteWorkEntry
from service.core.labor.condition import condition_factors
from service.core.labor.fit import NO_LIMITS, SiteLimits
from service.core.labor.hours import TaskHours
from service.core.labor.site_hours import time_site_work
from service.core.measure import UnitSet
from service.core.takeoff.quantities import Quantities, QuantityLine
from service.core.takeoff.site_lines import site_lines


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteWork:
    """Site work of the whole quote.

    `lines` are what is bought and what is tipped, one per item; a line of an item that the walls
    take too holds what both take, and stands in the place of the walls' line. `work` are the hours
    of crews and machines, which fill the same days as those of the walls. `phases` are those of the
    tasks by id, `item_phases` those in which each item is first needed.
    """

    entries: tuple[SiteWorkEntry, ...]
    lines: tuple[QuantityLine, ...]
    work: tuple[TaskHours, ...]
    phases: Mapping[str, Phase] = field(default_factory=lambda: MappingProxyType({}))
    item_phases: Mapping[str, Phase] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Workforce:
    """Who does site work, and what makes it slower: production rates, the choices of their
    conditions, and what decides whether a machine comes to the site."""

    rates: Rates
    conditions: Mapping[str, str]
    limits: SiteLimits = NO_LIMITS


def take_off_site_work(
    entries: Sequence[SiteWorkEntry],
    wall_lines: Sequence[QuantityLine],
    materials: Mapping[str, Material],
    units: UnitSet,
    *,
    truck: Truck | None = None,
    workforce: Workforce | None = None,
    own_topsoil_m3: float = 0.0,
) -> SiteWork:
    """What site work takes, leaves, and how long it takes.

    `wall_lines` are the quantity lines of the walls; `truck` is what a load is, where tipping is
    paid by the load; without `workforce` no hours are worked out. `own_topsoil_m3` is what of the
    topsoil stripped on the job is there for its tasks, in place. The order of the entries decides
    only in which order tasks stand.

    Raises QuoteFaultsError with every fault: at `site_work`, entry, `task` for items that can't be
    sold as they are counted and machines that the rates don't have; at `conditions` for those
    that the rates don't have.
    """
    faults: list[Fault] = []
    lines: tuple[QuantityLine, ...] = ()
    hours: tuple[TaskHours, ...] = ()
    try:
        lines = site_lines(entries, materials, wall_lines, truck, units, own_topsoil_m3)
    except QuoteFaultsError as error:
        faults += error.faults
    try:
        hours = site_hours(entries, workforce, units) if workforce else hours
    except QuoteFaultsError as error:
        faults += error.faults
    if faults:
        raise QuoteFaultsError(faults)
    return SiteWork(
        entries=tuple(entries),
        lines=lines,
        work=hours,
        phases=MappingProxyType({entry.task.id: entry.task.phase for entry in entries}),
        item_phases=_item_phases(entries),
    )


def site_hours(
    entries: Sequence[SiteWorkEntry], workforce: Workforce, units: UnitSet
) -> tuple[TaskHours, ...]:
    """Hours of site work with the machines that the limits of the workforce leave.

    Raises QuoteFaultsError as `take_off_site_work` does for hours.
    """
    rates, limits = workforce.rates, workforce.limits
    factors = condition_factors(rates, workforce.conditions, limits.lifted)
    return time_site_work(entries, rates, factors, limits, units)


def with_site_work(quantities: Quantities, site: SiteWork) -> Quantities:
    """The quantities with the lines of site work, in order (rule 17). What is measured by
    weight delivered stays that of the walls: the hours of a site task bring its material along."""
    taken = [line.item for line in site.lines]
    kept = [line for line in quantities.lines if line.item not in taken]
    return replace(quantities, lines=in_order((*kept, *site.lines)))


def _item_phases(entries: Sequence[SiteWorkEntry]) -> Mapping[str, Phase]:
    """The first phase in which each item is bought or tipped."""
    first: dict[str, Phase] = {}
    for entry in sorted(entries, key=lambda entry: PHASES.index(entry.task.phase)):
        rows: tuple[SiteMaterial | SiteDisposal, ...] = (
            *entry.task.materials,
            *entry.task.disposal,
        )
        for row in rows:
            first.setdefault(row.item, entry.task.phase)
    return MappingProxyType(first)
