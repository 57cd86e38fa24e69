"""Rates of setting units: which of a table by weight holds for the units of this job."""

from __future__ import annotations

from collections.abc import Mapping

from service.core.closed_list import row_each
from service.core.job.measured import WEIGHED, Measured
from service.core.job.rates import ProductionTask
from service.core.job.wall_system import WallSystem, WallUnit
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_SHARE
from service.core.three_point import ThreePoint

UnitWeights = Mapping[Measured, float]


def unit_weights(system: WallSystem) -> UnitWeights:
    """Weight of one unit, kg, by what counts such units; those whose file gives one."""
    pieces: Mapping[Measured, WallUnit | None] = row_each(
        WEIGHED,
        {
            "standard_units": system.standard,
            "base_course_units": system.standard,
            "corner_units": system.corner_piece,
            "cap_units": system.cap,
        },
    )
    return {
        measured: piece.weight_kg
        for measured, piece in pieces.items()
        if piece is not None and piece.weight_kg is not None
    }


def rate_by_weight(
    task: ProductionTask, weights: UnitWeights, units: UnitSet
) -> tuple[ThreePoint, str | None]:
    """Person-hours per unit of work at the weight of its units, and in words where that comes
    from: the first row that they don't outweigh, else the task's own hours."""
    weight = weights.get(task.measured_by)
    if not task.by_weight or weight is None:
        return task.hours_per_unit, None
    shown = f"a unit weighs {units.show(weight, 'mass')}"
    for row in task.by_weight:
        if row.up_to_kg is None:
            return row.hours_per_unit, f"{shown}: the rate of the heaviest"
        if weight <= row.up_to_kg * (1 + CLOSE_SHARE):
            return row.hours_per_unit, f"{shown}: the rate up to {units.show(row.up_to_kg, 'mass')}"
    return task.hours_per_unit, f"{shown}: the rate of heavier ones"
