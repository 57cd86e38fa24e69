"""Finished ground of a wall, in front and behind, and where it meets existing ground.

Rule 13.7: in front it passes through the front grade at the plan line, behind it
starts at the back of the top course; where it first meets existing ground, inside the cut or
beyond it, it ends.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.core.ground.region import Line, meeting
from service.core.ground.trench import Trench, TrenchStation
from service.core.job.graded import WallSide
from service.core.layout.layout import WallLayout


class GradingDistanceError(Exception):
    """Finished ground doesn't meet existing ground in reach on one side or both."""

    def __init__(self, sides: tuple[WallSide, ...]) -> None:
        self.sides = sides
        super().__init__(" and ".join(sides))


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """Finished ground on one side: up to where it meets existing ground (None: it doesn't), the
    end of the wall's own grading, and what is left standing there. `lost`: it should meet existing
    ground and doesn't."""

    line: Line
    met_m: float | None
    end_m: float
    left_m: float
    lost: bool


def finished_front(
    layout: WallLayout, trench: Trench, place: TrenchStation, grade_within_m: float
) -> Finished:
    """Finished ground in front, from the plan line outward; without a stated distance it looks for
    existing ground no farther than `grade_within_m`."""
    spec = layout.spec
    line = Line(0.0, place.levels.front_m, spec.front_slope)
    distance = spec.graded_in_front_m
    far = min(trench.front_m, -(grade_within_m if distance is None else distance))
    met = meeting(line, place.ground, 0.0, far)
    left = 0.0 if met is not None else line.at(far) - place.ground.at(far)
    end = far if met is None else min(met, trench.front_m)
    lost = met is None and distance is None
    return Finished(line=line, met_m=met, end_m=end, left_m=left, lost=lost)


def finished_behind(
    layout: WallLayout, cut_end: float, place: TrenchStation, grade_within_m: float
) -> Finished:
    """Finished ground behind, from the back of the top course on; as far as in front."""
    spec = layout.spec
    start = layout.offset_m(place.top_joint - 1) + layout.system.standard.depth_m
    line = Line(start, place.levels.back_m, spec.back_slope)
    distance = spec.graded_behind_m
    far = max(cut_end, grade_within_m if distance is None else distance)
    met = meeting(line, place.ground, start, max(start, far))
    left = 0.0 if met is not None else line.at(far) - place.ground.at(far)
    end = far if met is None else max(cut_end, min(met, far))
    lost = met is None and distance is None
    return Finished(line=line, met_m=met, end_m=end, left_m=left, lost=lost)
