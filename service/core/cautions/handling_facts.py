"""Facts of lifting units by hand: their weight against what one person may lift.

A flag for two people or a machine and no more: the equation is for smooth lifts by two hands,
standing, and much of laying a wall is not (service/core/job/lifting.py).
"""

from __future__ import annotations

import math

from service.core.job.fact import Fact, Facts
from service.core.job.handling import Handling
from service.core.job.lifting import lifting_index
from service.core.job.wall_system import WallSystem
from service.core.measure import UnitSet, number

_INDEX_DIGITS = 3


def handling_fact(system: WallSystem, handling: Handling | None, units: UnitSet) -> Facts:
    """Lifting index of the heaviest unit, where the catalog gives weights and the place a lift."""
    if handling is None:
        return {}
    pieces = (system.standard, system.corner, system.cap)
    weights = [(u.weight_kg, u.item) for u in pieces if u and u.weight_kg is not None]
    if not weights:
        return {}
    heaviest, item = max(weights)
    limit = handling.limit_kg
    index = lifting_index(heaviest, limit)
    weight = units.show(heaviest, "mass")
    if math.isinf(index):
        words = f"{item} weighs {weight}; nothing may be lifted in this posture."
    else:
        most, ratio = units.show(limit, "mass"), number(index, _INDEX_DIGITS)
        words = f"{item} weighs {weight}, the limit is {most}: lifting index {ratio}."
    return {"lifting_index": Fact(value=index, words=words)}
