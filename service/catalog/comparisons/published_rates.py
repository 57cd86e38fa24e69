"""Production rates and site work against published rates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from service.catalog.comparisons.finding import Finding
from service.catalog.documents.yardstick import PublishedRate
from service.catalog.registry import Catalog, CoreEntry
from service.core.errors import Fault, Path
from service.core.job.rates import MachineTask, ProductionTask, Rates
from service.core.measure import Unit, number

# Beyond this factor of what is published, a rate is more likely a slip than a slow or quick crew.
FAR = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rate:
    """Expected hours of a task for one SI unit, its unit, and where it stands."""

    hours: Fraction
    unit: Unit
    at: Path


def published_rate_findings(catalog: Catalog) -> Iterator[Finding]:
    """Rates that lie beyond three times, or below a third, of what is published."""
    for yardstick in catalog.yardsticks.values():
        for row in yardstick.core.rates:
            for rate in (*_task_rates(catalog, row), *_site_rates(catalog, row)):
                yield from _compare(rate, row)


def _compare(rate: _Rate, row: PublishedRate) -> Iterator[Finding]:
    least, most = row.hours.low / FAR, row.hours.high * FAR
    if least <= rate.hours <= most:
        return
    per = Fraction(rate.unit.si)
    fault = Fault(
        code="rate-far-from-published",
        at=rate.at,
        message=f"comes to {_shown(rate.hours * per)} h per {rate.unit.symbol}, more than "
        f"{FAR} times off what is published",
        hint=f"{_shown(row.hours.low * per)} to {_shown(row.hours.high * per)} h: {row.source}",
    )
    yield Finding(fault)


def _task_rates(catalog: Catalog, row: PublishedRate) -> Iterator[_Rate]:
    for entry in catalog.production_rates.values():
        alike = (task for task in _tasks(entry.core, row) if task.measured_by == row.measured_by)
        rates = (_of_task(entry, task, row) for task in alike)
        yield from (rate for rate in rates if rate is not None)


def _tasks(rates: Rates, row: PublishedRate) -> tuple[ProductionTask | MachineTask, ...]:
    return rates.tasks if row.by == "people" else rates.machine_tasks


def _of_task(
    entry: CoreEntry[Rates], task: ProductionTask | MachineTask, row: PublishedRate
) -> _Rate | None:
    """The task's rate in the row's measure; None where only one of them is for a way."""
    if task.hours_per_unit is None or (task.per_distance_m is not None) != row.per_distance:
        return None
    way = Fraction(task.per_distance_m or 1)
    return _Rate(
        hours=task.hours_per_unit.expected / Fraction(task.unit.si) / way,
        unit=task.unit,
        at=(entry.file, "tasks" if row.by == "people" else "machine_tasks", task.id),
    )


def _site_rates(catalog: Catalog, row: PublishedRate) -> Iterator[_Rate]:
    for name in row.site_work:
        entry = catalog.site_work.get(name)
        hours = entry.core.hours_per_unit if entry else None
        if entry is not None and hours is not None and row.by == "people":
            unit = entry.core.unit
            at = (entry.file, "labor", "hours")
            yield _Rate(hours=hours.expected / Fraction(unit.si), unit=unit, at=at)


def _shown(hours: Fraction) -> str:
    return number(float(hours), 3)
