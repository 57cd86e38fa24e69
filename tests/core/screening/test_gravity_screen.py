"""Plain stacks: what holds no soil, and how high they may be built."""

from __future__ import annotations

from dataclasses import replace

from service.core.job.basis import CheckName
from service.core.screening.gravity_screen import (
    NO_SOIL,
    TOO_STEEP,
    fails_as_stack,
    screen_gravity,
    tallest_courses,
)
from service.core.screening.wall_section import Loading, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import LEVEL, ground
from tests.given.statics import PSF
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


def test_tallest_courses_are_counted_one_by_one() -> None:
    """Asked for three of the four that pass."""
    assert tallest_courses(SETTING, [LEVEL], 3) == 3


def test_stack_is_held_against_the_figures_of_its_build() -> None:
    """Three courses resist more than 1.5 times what turns them over, 18 courses less; with layers
    the basis would ask for what none reaches."""
    basis = replace(
        ASSOCIATION,
        gravity={"overturning": ASSOCIATION.gravity["overturning"]},
        reinforced={"overturning": replace(ASSOCIATION.reinforced["overturning"], value=1e9)},
    )
    low = replace(HIGH, top_joint=3, soil_m=inch(24))
    assert not fails_as_stack(low, ground(basis))
    assert fails_as_stack(HIGH, ground(basis))


def test_tallest_courses_pass_under_each_of_their_loads() -> None:
    """Under 2,000 lb/ft2 not even one course stands: 80 lb/ft on soil of 30 deg against more than
    0.2 x 2,000 x 8 / 12."""
    heavy = Loading(surcharge_pa=2000 * PSF, back_slope=0.0)
    assert [tallest_courses(SETTING, loads, 9) for loads in ([heavy], [LEVEL, heavy])] == [0, 0]


def test_how_tells_the_arithmetic_or_that_no_slope_stands() -> None:
    """Ground of 45 deg on soil of 30 deg."""
    steep = replace(HIGH, load=Loading(surcharge_pa=0.0, back_slope=1.0))
    (fails, *_), (told, *_) = (
        screen_gravity([section], SETTING, "wall", {}) for section in (steep, HIGH)
    )
    assert (fails.status, fails.value, fails.how) == ("fail", 0.0, (TOO_STEEP,))
    assert told.how[0].startswith("18 courses, soil 12 ft over their underside")
    assert told.how[1] == "units x tan 30 deg / (soil + load)"


def test_stack_is_checked_before_any_soil() -> None:
    """One course before 8 in of soil."""
    low = replace(HIGH, top_joint=1, soil_m=inch(8))
    assert {each.status for each in screen_gravity([low], SETTING, "wall", {})} >= {"pass"}
