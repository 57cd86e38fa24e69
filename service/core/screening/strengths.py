"""Which strength of a soil the checks go by, said where its file knows two."""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.core.job.fact import Assumption
from service.core.job.job import Soils
from service.core.measure import number


def strength_assumptions(soils: Soils) -> Iterator[Assumption]:
    """One for each soil of the job whose file also gives the strength of undisturbed ground."""
    for place in ("retained", "foundation", "fill"):
        soil = getattr(soils, place)
        if soil is not None and soil.undisturbed is not None:
            as_it_lies = _degrees(soil.undisturbed.friction_angle_rad)
            yield Assumption(
                field=f"/soils/{place}",
                value=_degrees(soil.friction_angle_rad),
                why="the checks go by the strength of the soil as compacted; its file gives "
                f"{as_it_lies} for undisturbed ground, which is not used",
            )


def _degrees(angle_rad: float) -> str:
    return f"{number(math.degrees(angle_rad), 4)} deg"
