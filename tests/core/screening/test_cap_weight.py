"""The cap on a wall: its weight, where it lies, and what it does to every check."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.screening.cap_weight import cap_assumptions, cap_weight
from tests.given.basis import ASSOCIATION
from tests.given.layered import ground
from tests.given.quote_requests import Json, answered
from tests.given.screened import set_request, set_wall, sets_catalog, value_of
from tests.given.statics import LB_FT
from tests.given.walls import inch, system, unit

LB_KG = 0.45359237
CAP = unit("cap", face=inch(18), height=inch(4), depth=inch(12), weight_kg=60 * LB_KG)
CAPPED = replace(system(setback=inch(0.75), cap=CAP), cap_overhang_m=inch(1))


def test_cap_weight_lies_at_the_middle_of_its_depth_before_the_face() -> None:
    """60 lb on 18 in: 40 lb/ft, its middle 6 in - 1 in of overhang behind the face."""
    found = cap_weight(CAPPED)
    assert found is not None
    assert found.weight_n_m / LB_FT == pytest.approx(40, rel=1e-9)
    assert found.middle_m == pytest.approx(inch(5))


def test_stack_counts_the_cap_at_its_own_lever() -> None:
    """Four courses of 80 lb/ft at 7.125 in, the cap of 40 at 2.25 + 5 in: 360 at 7.139 in."""
    stack = ground(ASSOCIATION, blocks=CAPPED).stack(4)
    assert stack.weight_n_m / LB_FT == pytest.approx(360, rel=1e-9)
    expected = (320 * 7.125 + 40 * 7.25) / 360
    assert stack.lever_m == pytest.approx(inch(expected), rel=1e-9)


def test_hinged_weight_counts_the_cap_over_every_joint() -> None:
    """20 courses lean over their hinge height of 10.667 ft: 1,280 lb/ft of units and the cap."""
    stack = ground(ASSOCIATION, blocks=CAPPED).stack(20)
    assert stack.hinged_weight_n_m / LB_FT == pytest.approx(1280 + 40, rel=1e-9)


def test_cap_assumptions_say_that_a_weight_is_missing() -> None:
    """A cap without a weight is left out and said so; one with a weight, or none, is not."""
    bare = replace(CAPPED, cap=replace(CAP, weight_kg=None))
    assert cap_weight(bare) is None
    (told,) = cap_assumptions(bare)
    assert told.field == "/wall_system"
    assert not list(cap_assumptions(CAPPED))
    assert not list(cap_assumptions(replace(CAPPED, cap=None)))


def capped(back_grade: str) -> Json:
    """Four courses and the cap of 40 lb/ft, 36 in in all, soil up to this level."""
    wall = set_wall("36 in")
    for entry in wall["profile"]:
        entry["back_grade"] = back_grade
    return answered(set_request(wall, wall_system="weighted"), sets_catalog())


def test_screen_counts_cap_weight_in_sliding_and_overturning() -> None:
    """Soil to the top course: (320 + 40) lb/ft against 107.681, at 7.1389 in from the toe."""
    found = capped("32 in")
    assert value_of(found, "base_sliding") == pytest.approx(
        360 * math.tan(math.radians(30)) / 107.681, abs=1e-3
    )
    arm = (320 * 7.125 + 40 * 7.25) / 12
    assert value_of(found, "overturning") == pytest.approx(arm / (107.681 * 32 / 36), abs=1e-3)


def test_screen_runs_the_leaning_back_on_to_the_back_grade() -> None:
    """Soil beside the cap, 36 in: 0.25238 x 120 x 9 / 2 = 136.28 lb/ft of push."""
    pushed = 0.252377 * 120 * 9 / 2
    assert value_of(capped("36 in"), "base_sliding") == pytest.approx(
        360 * math.tan(math.radians(30)) / pushed, abs=1e-3
    )


@pytest.mark.parametrize("check", ["base_sliding", "overturning", "bearing"])
def test_wall_gets_no_weaker_where_soil_beside_the_cap_is_taken_away(check: str) -> None:
    """From the top of the cap down to the top course, inch by inch."""
    values = [value_of(capped(f"{inches} in"), check) for inches in (36, 35, 34, 33, 32, 31)]
    assert values == sorted(values)
