"""Finished ground of a wall, in front and behind, where it meets existing ground, and with trench
and cut the outline of a section.

Rule 13.7: in front it passes through the front grade at the plan line, behind it
starts at the back of the top course; where it first meets existing ground, inside the cut or
beyond it, it ends.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.core.ground.region import Line, meeting
from service.core.ground.trench import (
    Digging,
    Trench,
    TrenchStation,
    cut_ends_at_m,
    cut_face,
    depth_m,
    dig_trench,
)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """Where a section begins and ends: trench, cut `face` (None: upright) up to `cut_end_m`, how
    deep that is, and finished ground on both sides."""

    trench: Trench
    face: Line | None
    cut_end_m: float
    depth_m: float
    front: Finished
    behind: Finished


def outline_of(layout: WallLayout, digging: Digging, place: TrenchStation) -> Outline:
    """The outline of the section at a place.

    Raises CutNeverMeetsError, GradingDistanceError, GroundShortError.
    """
    trench = dig_trench(layout, digging, place.base, place.reach_m)
    face = cut_face(trench, digging.cut_slope)
    cut_end = cut_ends_at_m(trench, face, place.ground)
    front = finished_front(layout, trench, place, digging.grade_within_m)
    behind = finished_behind(layout, cut_end, place, digging.grade_within_m)
    sides: tuple[tuple[WallSide, bool], ...] = (("front", front.lost), ("behind", behind.lost))
    if front.lost or behind.lost:
        raise GradingDistanceError(tuple(side for side, lost in sides if lost))
    return Outline(
        trench=trench,
        face=face,
        cut_end_m=cut_end,
        depth_m=depth_m(place.ground, trench, cut_end),
        front=front,
        behind=behind,
    )


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
