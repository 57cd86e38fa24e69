"""Facts of lifting units by hand: their weight against what one person may lift, all day long.

A flag for two people or a machine and no more: the equation is for smooth lifts by two hands,
standing, and much of laying a wall is not (service/core/job/lifting.py).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from service.core.cautions.facts import UNIT_NAMES
from service.core.job.fact import Fact, Facts
from service.core.job.handling import Handling
from service.core.job.lifting import lifting_index
from service.core.job.measured import Measured
from service.core.job.rates import Rates
from service.core.job.wall_system import WallSystem
from service.core.labor.hours import Labor
from service.core.measure import UnitSet, number

_INDEX_DIGITS = 3
_OFTEN_DIGITS = 2
_MINUTES = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lifted:
    """A unit that is lifted: its index, its weight, the limit and how often a minute."""

    index: float
    name: str
    weight_kg: float
    limit_kg: float
    per_minute: float


def handling_fact(
    system: WallSystem,
    handling: Handling | None,
    often: Mapping[Measured, float],
    units: UnitSet,
) -> Facts:
    """The worst lifting index of the units, where the catalog gives weights and the place a lift.

    `often` are lifts a minute by what the units are counted as, where rates say so.
    """
    if handling is None:
        return {}
    counted: tuple[Measured, ...] = ("standard_units", "corner_units", "cap_units")
    pieces = zip((system.standard, system.corner, system.cap), UNIT_NAMES, counted, strict=True)
    lifted = [
        _lifted(name, unit.weight_kg, often.get(kind, handling.per_minute), handling)
        for unit, name, kind in pieces
        if unit and unit.weight_kg is not None
    ]
    if not lifted:
        return {}
    worst = max(lifted, key=lambda each: (each.index, each.weight_kg, each.name))
    return {"lifting_index": Fact(value=worst.index, words=_words(worst, units))}


def lifts_per_minute(rates: Rates | None, labor: Labor | None) -> Mapping[Measured, float]:
    """How often one person lifts a unit while setting it, by what it is counted as: units over
    the hours of all tasks that count the same units."""
    if rates is None or labor is None:
        return {}
    counted_as = {task.id: task.measured_by for task in rates.tasks if not task.breaks_pallets}
    hours: dict[Measured, float] = {}
    pieces: dict[Measured, float] = {}
    for done in labor.tasks:
        if done.task in counted_as:
            kind = counted_as[done.task]
            hours[kind] = hours.get(kind, 0.0) + float(done.hours)
            pieces[kind] = max(pieces.get(kind, 0.0), done.quantity)
    return {kind: pieces[kind] / (_MINUTES * each) for kind, each in hours.items() if each > 0}


def _lifted(name: str, weight_kg: float, per_minute: float, handling: Handling) -> _Lifted:
    limit = handling.limit_kg(per_minute)
    return _Lifted(
        index=lifting_index(weight_kg, limit),
        name=name,
        weight_kg=weight_kg,
        limit_kg=limit,
        per_minute=per_minute,
    )


def _words(lifted: _Lifted, units: UnitSet) -> str:
    weighs = f"The {lifted.name} weighs {units.show(lifted.weight_kg, 'mass')}"
    if math.isinf(lifted.index):
        return f"{weighs}; nothing may be lifted in this posture and so often."
    often = number(lifted.per_minute, _OFTEN_DIGITS)
    limit, index = units.show(lifted.limit_kg, "mass"), number(lifted.index, _INDEX_DIGITS)
    return f"{weighs}, the limit at {often} a minute all day is {limit}: lifting index {index}."
