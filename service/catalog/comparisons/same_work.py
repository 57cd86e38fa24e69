"""The same work in a task of site work and in production rates."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from service.catalog.comparisons.finding import Finding
from service.catalog.documents.entry import agree
from service.catalog.registry import Catalog, CoreEntry
from service.core.errors import Fault
from service.core.job.rates import MachineTask, ProductionTask, Rates
from service.core.job.site_task import SiteTask
from service.core.measure import Unit, number
from service.core.three_point import ThreePoint

PARTS = ("labor", "machine", "by_hand")


def same_work_findings(catalog: Catalog) -> Iterator[Finding]:
    """Hours of a site task that differ by more than 2 % from those of the tasks it names."""
    for site in catalog.site_work.values():
        named = site.document.get("same_work", {})
        for rates in catalog.production_rates.values():
            for part in PARTS:
                if part in named:
                    yield from _compare(site, rates, part, named[part])


def _compare(
    site: CoreEntry[SiteTask], rates: CoreEntry[Rates], part: str, names: Sequence[str]
) -> Iterator[Finding]:
    stated = _hours(site.core, part)
    found = [_rate(rates.core, name, site.core.unit) for name in names]
    known = [hours for hours in found if hours is not None]
    if stated is None or len(known) != len(names):
        return
    site_rate, rate = stated / Fraction(site.core.unit.si), sum(known, Fraction(0))
    if agree(float(site_rate), float(rate)):
        return
    unit = site.core.unit
    key = "by_hand" if part == "by_hand" else "hours"
    at = (site.file, "machine" if part == "by_hand" else part, key)
    message = (
        f"comes to {_shown(site_rate, unit)}, the same work in {rates.id} to {_shown(rate, unit)}"
    )
    hint = f"one figure for {' + '.join(names)} of {rates.file} and for this, within 2 %"
    yield Finding(Fault(code="same-work-twice", at=at, message=message, hint=hint))


def _hours(task: SiteTask, part: str) -> Fraction | None:
    figures: dict[str, ThreePoint | None] = {
        "labor": task.hours_per_unit,
        "machine": task.machine.hours_per_unit if task.machine else None,
        "by_hand": task.machine.by_hand if task.machine else None,
    }
    figure = figures[part]
    return figure.expected if figure else None


def _rate(rates: Rates, name: str, unit: Unit) -> Fraction | None:
    """Expected hours of a task for one SI unit; None where the rates have no such task, or
    measure it by something else."""
    tasks: tuple[ProductionTask | MachineTask, ...] = (*rates.tasks, *rates.machine_tasks)
    for task in tasks:
        alike = task.id == name and task.unit.dimension == unit.dimension
        if alike and task.hours_per_unit is not None:
            return task.hours_per_unit.expected / Fraction(task.unit.si)
    return None


def _shown(rate: Fraction, unit: Unit) -> str:
    return f"{number(float(rate * Fraction(unit.si)), 3)} h per {unit.symbol}"
