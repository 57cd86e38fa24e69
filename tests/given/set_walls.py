"""Walls and units of the constructed sets (tests/reference/geometry.toml, earthwork.toml), and
walls whose levels jump."""

from itertools import pairwise

from service.core.job.spec import PlanPart, WallSpec
from tests.given.walls import (
    CORNER_UNIT,
    StationLike,
    entry,
    ft,
    inch,
    level_wall,
    system,
    wall,
)

Q1 = level_wall(exposed=inch(32))
# 3/4 in setback and no cap
SET_BLOCKS = system(cap=None, setback=inch(0.75))
# no setback and no cap, so that areas are those of plain rectangles
UPRIGHT = system(cap=None, setback=0.0)
WITH_CORNER = system(corner=CORNER_UNIT)


def jumping(plan: tuple[PlanPart, ...], *levels: tuple[StationLike, float, float]) -> WallSpec:
    """A wall whose top and front grade, in feet, jump at each of these stations."""
    return wall(
        plan,
        tuple(
            entry(station, ft(top), ft(front))
            for (start, top, front), (finish, _, _) in pairwise((*levels, ("end", 0.0, 0.0)))
            for station in (start, finish)
        ),
    )
