"""Two walls above each other, by hand: one wall or two.

Units 8 in high and 12 in deep, each course 1 in behind the one below, no cap, nothing buried. The
lower wall shows 4 ft from level 0 on, the upper one 2 ft from level 4 ft on.
"""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest

from service.core.job.job import Job
from service.core.job.jurisdiction import CautionRule, Jurisdiction, Trigger
from service.core.job.spec import Tier
from service.core.layout.layout import WallLayout
from service.core.measure import US
from service.core.screening.check import Check, Status
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.tier_screen import screen_tiers, tier_faults, together_m
from tests.given.basis import ASSOCIATION
from tests.given.earth import EARTH_RULES
from tests.given.walls import entry, ft, inch, laid, level_wall, section, straight, system, wall

BLOCKS = system(cap=None)
DETAIL = section(minimum=0.0, shares=((0.0, 0.0),))
WALLS = (level_wall(name="low"), level_wall(name="up", front=ft(4), exposed=ft(2)))
LAYOUTS = {spec.name: laid(spec, BLOCKS, DETAIL) for spec in WALLS}
CHECK = CHECK_TABLE["tier_independence"]


def tier(offset_m: float) -> Tier:
    """The upper wall so far behind the lower one."""
    return Tier(lower="low", upper="up", offset_m=offset_m)


def job(*offsets_m: float, **permits_ft: float) -> Job:
    """A tier at each of these offsets, in a place that asks for a permit over so much."""
    rules = tuple(_rule(trigger, over) for trigger, over in permits_ft.items())
    place = Jurisdiction(id="here", version="1", title="Here", cautions=rules, earth=EARTH_RULES)
    return Job(
        units=US,
        walls=WALLS,
        system=BLOCKS,
        section=DETAIL,
        materials=MappingProxyType({}),
        jurisdiction=place,
        basis=ASSOCIATION,
        tiers=tuple(tier(each) for each in offsets_m),
    )


def _rule(trigger: str, over_ft: float) -> CautionRule:
    (known,) = (each for each in _PERMITS if each == trigger)
    return CautionRule(
        code=trigger, trigger=known, severity="high", text="", source="", over=ft(over_ft)
    )


_PERMITS: tuple[Trigger, ...] = ("combined_height", "permit_height")


def failing(wall: str, status: Status = "fail") -> Check:
    """A wall that slides, or not."""
    return Check(check="base_sliding", limit="min", wall=wall, status=status, source="by hand")


def screened(of: Job, *stability: Check) -> list[Check]:
    """The checks of its tiers."""
    return list(screen_tiers(CHECK, of, LAYOUTS, stability))


def test_tier_nearer_than_the_back_of_the_top_course_is_refused() -> None:
    """The sixth course lies 5 in back and is 12 in deep: 17 in; 1.4 ft are 16.8 in."""
    assert not list(tier_faults(job(inch(17), inch(16.9999), ft(5)), LAYOUTS))
    (fault,) = tier_faults(job(ft(5), ft(1.4)), LAYOUTS)
    assert (fault.code, fault.at) == ("tier-on-tier", ("tiers", 1, "offset"))
    assert fault.message == "up stands 1.4 ft behind low, whose top course reaches back 1.41667 ft"
    assert fault.hint == "1.41667 ft or more, from face to face at the base"


def stepped() -> WallLayout:
    """20 ft of six courses from level 0 on, 20 ft of nine from 2 ft below it: up to 4 ft."""
    first = (entry(0.0, ft(4)), entry(ft(20), ft(4)))
    entries = (*first, entry(ft(20), ft(4), ft(-2)), entry("end", ft(4), ft(-2)))
    return laid(wall((straight(ft(40)),), entries, name="low"), BLOCKS, DETAIL)


def test_tier_is_held_against_the_highest_course() -> None:
    """Of nine courses, 8 in back: 20 in."""
    first = (entry(0.0, ft(4)), entry(ft(20), ft(4)))
    entries = (*first, entry(ft(20), ft(6)), entry("end", ft(6)))
    low = laid(wall((straight(ft(40)),), entries, name="low"), BLOCKS, DETAIL)
    layouts = {**LAYOUTS, "low": low}
    assert len([*tier_faults(job(inch(19.9), inch(20)), layouts)]) == 1


def test_tiers_together_reach_down_to_the_lowest_step() -> None:
    """From 2 ft below level 0 up to 6 ft."""
    layouts = {**LAYOUTS, "low": stepped()}
    assert together_m(tier(ft(5)), layouts) == pytest.approx(ft(8))


def test_share_of_tiers_is_told_with_four_digits() -> None:
    """1.23456 times the taller."""
    of = job(ft(8))
    rules = replace(ASSOCIATION.tiers, independent_share=1.23456)
    (found,) = screened(replace(of, basis=replace(ASSOCIATION, tiers=rules)))
    assert found.required is not None
    assert (found.required.value, found.required.text) == (1.23456, "1.235")


def test_tiers_together_reach_from_the_lowest_underside_to_the_highest_top() -> None:
    """From 0 to 6 ft."""
    assert together_m(tier(ft(5)), LAYOUTS) == pytest.approx(ft(6))


def test_tier_twice_as_far_as_the_taller_is_high_is_a_wall_of_its_own() -> None:
    """8 ft before 4 ft shown: 2, as the basis asks, whatever the place and the walls are."""
    (found,) = screened(job(ft(8), permit_height=1), failing("low"))
    assert (found.status, found.wall, found.build) == ("pass", "low", "gravity")
    assert (found.station_m, found.assumed) == (0.0, ())
    assert found.value == pytest.approx(2.0)
    assert found.required is not None
    assert (found.required.value, found.required.text, found.source) == (2.0, "2", "by hand")
    assert found.how == (
        "up stands 8 ft behind low, the taller of the two shows 4 ft, together they are 6 ft high",
    )


@pytest.mark.parametrize(
    ("permits", "status"),
    [
        ({}, "pass_as_assumed"),
        ({"combined_height": 6, "permit_height": 6}, "pass_as_assumed"),
        ({"combined_height": 5.999, "permit_height": 9}, "fail"),
        ({"combined_height": 9, "permit_height": 5.999}, "fail"),
    ],
)
def test_near_tiers_pass_where_they_are_low_together(
    permits: dict[str, float], status: Status
) -> None:
    """7 ft before 4 ft: 1.75. Both are 6 ft high: no permit is asked for at 6 ft."""
    (found,) = screened(job(ft(7), **permits), failing("low", "pass"), failing("up"))
    assert found.status == status
    assert found.value == pytest.approx(1.75)
    assert found.assumed == (("/tiers",) if status == "pass_as_assumed" else ())


def test_near_tiers_fail_where_the_lower_wall_does() -> None:
    """Two pairs, the second far enough apart; what the upper wall does is not asked."""
    found = screened(job(ft(7), ft(9)), failing("low"))
    assert [each.status for each in found] == ["fail", "pass"]
    assert [each.value for each in found] == pytest.approx([1.75, 2.25])
