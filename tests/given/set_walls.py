"""Walls and units of the constructed sets (tests/reference/geometry.toml, earthwork.toml)."""

from tests.given.walls import CORNER_UNIT, inch, level_wall, system

Q1 = level_wall(exposed=inch(32))
# 3/4 in setback and no cap
SET_BLOCKS = system(cap=None, setback=inch(0.75))
# no setback and no cap, so that areas are those of plain rectangles
UPRIGHT = system(cap=None, setback=0.0)
WITH_CORNER = system(corner=CORNER_UNIT)
