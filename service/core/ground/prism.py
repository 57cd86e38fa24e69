"""Upright prisms on triangles: cut and fill apart, in closed form.

A surface is plane over each triangle, so that the depth of cut (existing less finished level;
fill is negative) is linear in it. The zero line then cuts the triangle along a straight line, and
each side is a pyramid or what a pyramid leaves of the prism: exact, nothing is sampled. Source:
geometry; tests/reference/ holds made examples against it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from service.core.job.fact import Assumption

Depths = tuple[float, float, float]
LEVEL_M = 1e-9  # floats: a difference of levels below it is none


class Prism(NamedTuple):
    """A triangle in plan and the depth of cut at its corners, in meters.

    A negative area takes away: what a fan of triangles covers too much.
    """

    area_m2: float
    depths_m: Depths


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Cut and fill of some prisms, each with the plan area it has; `touched_m2` is the area of
    triangles where existing and finished ground differ anywhere."""

    cut_m3: float
    fill_m3: float
    cut_m2: float
    fill_m2: float
    touched_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PrismGround:
    """What each way of giving an area comes down to. `highest_finished_m` is None where only a
    depth was given."""

    prisms: tuple[Prism, ...]
    area_m2: float
    highest_finished_m: float | None
    how: tuple[str, ...]
    assumptions: tuple[Assumption, ...] = ()


def depth_of_cut(existing_m: float, finished_m: float) -> float:
    """Existing less finished level; what floats leave of nothing is nothing."""
    depth = existing_m - finished_m
    return depth if abs(depth) > LEVEL_M else 0.0


def above_zero(area: float, depths: Depths) -> tuple[float, float]:
    """Volume and area of the part of a prism where the depth is above zero.

    One corner above: a pyramid over the share h²/((h - l)(h - m)) of the triangle. One below: the
    whole prism, and what the pyramid below takes is added back.
    """
    low, middle, high = sorted(depths)
    if high <= 0:
        return 0.0, 0.0
    if low >= 0:
        return area * (low + middle + high) / 3, area
    if middle <= 0:
        share = high / (high - low) * (high / (high - middle))
        return area * share * high / 3, area * share
    share = low / (low - middle) * (low / (low - high))
    return area * (low + middle + high - share * low) / 3, area * (1 - share)


def add_up(prisms: Sequence[Prism], shift_m: float = 0.0) -> Moved:
    """Cut and fill of all prisms, never netted.

    `shift_m` is added to the depth wherever ground is touched: topsoil put back less topsoil
    stripped. Sums don't depend on the order of the prisms.
    """
    cuts, fills, touched = [], [], []
    for area, depths in prisms:
        if not any(depths):
            continue
        a, b, c = (depth + shift_m for depth in depths)
        touched.append(area)
        cuts.append(above_zero(area, (a, b, c)))
        fills.append(above_zero(area, (-a, -b, -c)))
    return Moved(
        cut_m3=math.fsum(volume for volume, _ in cuts),
        fill_m3=math.fsum(volume for volume, _ in fills),
        cut_m2=math.fsum(area for _, area in cuts),
        fill_m2=math.fsum(area for _, area in fills),
        touched_m2=math.fsum(touched),
    )
