"""Loads on the ground behind a wall, as cautions go by them: what begins nearer than so many wall
heights (`reach`, from the rule book), and the steepest slope that does."""

from __future__ import annotations

from collections.abc import Iterator

from service.core.job.spec import LoadAbove, WallSpec
from service.core.rounding import CLOSE_M


def back_slope_at(spec: WallSpec, wall_height_m: float, reach: float) -> float:
    """The slope behind a wall of this height, rise over run: the steepest of the stated one and of
    every slope that begins nearer than `reach` heights.

    Such a broken slope is taken at its full angle from the wall on, which is on the safe side.
    """
    return max(
        (spec.back_slope, *(load.slope for load in counted_above(spec, wall_height_m, reach)))
    )


def states_load(spec: WallSpec) -> bool:
    """Whether anybody said what stands on the ground behind, be it nothing."""
    return spec.surcharge_stated or bool(spec.above)


def counted_above(spec: WallSpec, wall_height_m: float, reach: float) -> Iterator[LoadAbove]:
    """What begins nearer than `reach` wall heights."""
    within_m = reach * wall_height_m - CLOSE_M
    return (load for load in spec.above if load.from_m < within_m)
