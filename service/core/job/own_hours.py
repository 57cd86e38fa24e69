"""Own figures in place of those of production rates, task by task."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TypeVar

from service.core.job.rates import FixedHours, MachineTask, ProductionTask, Rates
from service.core.rounding import EXACT
from service.core.three_point import ThreePoint

TimedRow = ProductionTask | MachineTask | FixedHours
_Timed = TypeVar("_Timed", ProductionTask, MachineTask)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnHours:
    """Hours of one's own for one unit of a task's own rate, and where they come from in words."""

    hours_per_unit: ThreePoint
    note: str | None = None


def rows_of(rates: Rates) -> Mapping[str, TimedRow]:
    """Whatever has hours in the rates, by id: tasks, machine tasks, fixed hours."""
    rows: tuple[TimedRow, ...] = (*rates.tasks, *rates.machine_tasks, *rates.fixed)
    return {row.id: row for row in rows}


def with_own_hours(rates: Rates, own: Mapping[str, OwnHours]) -> Rates:
    """The rates with own figures by task (rule 18.10). Ids are those of the rates; fixed hours take
    the likely figure, which is their only one. A machine still does only what it compacts, and a
    table by weight gives way to the own figure."""
    return replace(
        rates,
        tasks=tuple(
            replace(task, by_weight=()) if task.id in own else task
            for task in _with(rates.tasks, own)
        ),
        machine_tasks=tuple(
            replace(task, basis=None, compacts=stated.hours_per_unit is None)
            if task.id in own
            else task
            for stated, task in zip(
                rates.machine_tasks, _with(rates.machine_tasks, own), strict=True
            )
        ),
        fixed=tuple(
            replace(row, hours=_decimal(own[row.id].hours_per_unit)) if row.id in own else row
            for row in rates.fixed
        ),
    )


def _with(rows: Iterable[_Timed], own: Mapping[str, OwnHours]) -> tuple[_Timed, ...]:
    return tuple(
        replace(row, hours_per_unit=own[row.id].hours_per_unit) if row.id in own else row
        for row in rows
    )


def _decimal(figure: ThreePoint) -> Decimal:
    likely = figure.likely
    return EXACT.divide(Decimal(likely.numerator), Decimal(likely.denominator))
