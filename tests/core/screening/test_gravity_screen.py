"""Plain stacks: what holds no soil, and how high they may be built."""

from __future__ import annotations

from dataclasses import replace

from service.core.job.basis import CheckName
from service.core.screening.gravity_screen import (
    NO_SOIL,
    fails_as_stack,
    screen_gravity,
    tallest_courses,
)
from service.core.screening.wall_section import WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import LEVEL, ground
from tests.given.walls import inch

SETTING = ground(ASSOCIATION)
HIGH = WallSection(station_m=0.0, base=0, top_joint=18, soil_m=inch(144), load=LEVEL)
FREE = replace(HIGH, soil_m=0.0)
NAMES: tuple[CheckName, ...] = ("base_sliding", "overturning", "bearing", "hinge_height")


def test_stack_without_soil_is_not_checked() -> None:
    """Nothing lies behind it, so no figure of it would mean a thing; beside soil it counts for
    nothing."""
    checks = {each.check: each for each in screen_gravity([FREE], SETTING, "wall", {})}
    for name in NAMES:
        assert (checks[name].status, checks[name].missing) == ("not_checked", (NO_SOIL,))
    alone, beside = (screen_gravity(each, SETTING, "wall", {}) for each in ([HIGH], [FREE, HIGH]))
    assert alone == beside


def test_stack_fails_where_soil_stands_behind_it() -> None:
    """18 courses at 1 in are higher than their hinge height of 8 ft: that is asked of a wall that
    holds soil, not of one that stands free."""
    assert fails_as_stack(HIGH, SETTING)
    assert not fails_as_stack(FREE, SETTING)


def test_tallest_courses_end_at_the_most_that_is_looked_for() -> None:
    """Four courses of these units pass, five don't: asked for two, it is two."""
    assert [tallest_courses(SETTING, [LEVEL], most) for most in (0, 2, 4, 5, 9)] == [0, 2, 4, 4, 4]
