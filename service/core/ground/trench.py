"""Trench and cut at one station: what they need to know, their edges, where the cut ends.

Rules 13.3 and 13.4. Offsets are positive toward the soil, levels over the request's datum, in
meters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.core.ground.region import GroundLine, Line, Polyline, meeting
from service.core.job.reinforcement import Layer
from service.core.job.section import Drainage, LevelingPad
from service.core.job.topsoil import Topsoil
from service.core.layout.layout import WallLayout
from service.core.layout.profile import Levels
from service.core.rounding import CLOSE_M

_FARTHEST_CUT_M = 10_000.0  # a cut slope that has met no plane by then never will


class CutNeverMeetsError(Exception):
    """The cut slope never meets existing ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far reinforcement runs into the soil over a stretch of stations: the longest layer
    there, from the face of the units."""

    from_m: float
    to_m: float
    reach_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Digging:
    """How a wall is dug: the section's details, the cut slope that holds (run over rise), how far
    grading without a stated distance may look for existing ground, and where reinforcement asks
    for a floor farther back, by station."""

    pad: LevelingPad
    drainage: Drainage
    working_room_m: float
    cut_slope: float
    topsoil: Topsoil
    grade_within_m: float
    reaches: tuple[Reach, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TrenchStation:
    """One station of a wall: levels, joints, bottom of the drainage stone, existing ground, how
    far reinforcement runs back from the face."""

    station_m: float
    levels: Levels
    base: int
    top_joint: int
    stone_bottom_m: float
    ground: GroundLine
    reach_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Trench:
    """Edges of trench and floor as offsets, and their levels."""

    front_m: float
    rear_m: float
    floor_m: float
    pad_top_m: float
    bottom_m: float


def reaches_of(layers: Sequence[Layer]) -> tuple[Reach, ...]:
    """Stretches with one reach each, in order: that of the longest layer over them."""
    longest: dict[tuple[float, float], float] = {}
    for layer in layers:
        ends = layer.from_m, layer.to_m
        longest[ends] = max(longest.get(ends, 0.0), layer.length_m)
    marks = sorted(dict.fromkeys(mark for ends in longest for mark in ends))
    return tuple(
        Reach(
            from_m=a,
            to_m=b,
            reach_m=max(
                (reach for (start, end), reach in longest.items() if start <= a and b <= end),
                default=0.0,
            ),
        )
        for a, b in pairwise(marks)
    )


def dig_trench(layout: WallLayout, digging: Digging, base: int, reach_m: float = 0.0) -> Trench:
    """Edges of the trench under the pad of a base course, and of the floor behind it: as far as
    stone, pad or reinforcement, whichever reaches farthest."""
    pad, depth = digging.pad, layout.system.standard.depth_m
    face, level = layout.offset_m(base), layout.grid.level_m(base)
    rear = face + depth + pad.rear_extension_m + pad.overdig_m
    behind = max(face + depth + digging.drainage.width_m, rear, face + reach_m)
    floor = behind + digging.working_room_m
    return Trench(
        front_m=face - pad.front_extension_m,
        rear_m=rear,
        floor_m=floor,
        pad_top_m=level,
        bottom_m=level - pad.thickness_m - pad.overdig_m,
    )


def cut_face(trench: Trench, cut_slope: float) -> Line | None:
    """The sloped face behind the floor; None where it is vertical."""
    return Line(trench.floor_m, trench.pad_top_m, 1 / cut_slope) if cut_slope > 0 else None


def cut_ends_at_m(trench: Trench, face: Line | None, ground: GroundLine) -> float:
    """Offset at which the cut face first meets existing ground."""
    if face is None or ground.at(trench.floor_m) <= trench.pad_top_m + CLOSE_M:
        return trench.floor_m
    far = ground.xs_m[-1] if isinstance(ground, Polyline) else _FARTHEST_CUT_M
    met = meeting(face, ground, trench.floor_m, far)
    if met is None:
        if isinstance(ground, Polyline):
            ground.at(far + 1)
        raise CutNeverMeetsError
    return met


def depth_m(ground: GroundLine, trench: Trench, cut_end: float) -> float:
    """From the bottom of the trench to the highest ground that is dug through."""
    marks = (trench.front_m, *ground.knots(trench.front_m, cut_end), cut_end)
    return max(ground.at(mark) for mark in marks) - trench.bottom_m
