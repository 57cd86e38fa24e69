"""Heights of walls one above the other."""

from __future__ import annotations

import math

import pytest

from service.core.cautions.tier_heights import combined_heights, tier_facts
from service.core.job.fact import Fact
from service.core.job.spec import Tier
from service.core.measure import US
from tests.given.walls import ft, laid, level_wall

HEIGHTS = {"a": 3.0, "b": 2.0, "c": 1.0}


def tier(lower: str, upper: str, offset_m: float = 1.0) -> Tier:
    """The upper wall so far behind the lower."""
    return Tier(lower=lower, upper=upper, offset_m=offset_m)


def test_combined_heights_add_a_chain() -> None:
    """Three tiers are 3 + 2 + 1 for the lowest, 2 + 1 for the middle one."""
    found = combined_heights([tier("a", "b"), tier("b", "c")], HEIGHTS, 2.0, HEIGHTS)
    assert found == {"a": (6.0, ("a", "b", "c")), "b": (3.0, ("b", "c"))}


def test_combined_heights_take_each_wall_once() -> None:
    """A wall that stands above two walls is not added twice: a, b, c and also a, c make 6."""
    tiers = [tier("a", "b"), tier("b", "c"), tier("a", "c")]
    assert combined_heights(tiers, HEIGHTS, 2.0, HEIGHTS)["a"][0] == 6.0


def test_combined_heights_of_walls_side_by_side_are_not_added() -> None:
    """Two walls above different stretches of a third: the higher one counts."""
    found = combined_heights([tier("a", "b"), tier("a", "c")], HEIGHTS, 2.0, HEIGHTS)
    assert found == {"a": (5.0, ("a", "b"))}


@pytest.mark.parametrize(
    ("offset_m", "within", "counts"),
    [(5.99, 2.0, True), (6.0, 2.0, False), (60.0, math.inf, True), (0.1, None, False)],
)
def test_combined_heights_go_by_the_place(
    offset_m: float, within: float | None, counts: bool
) -> None:
    """Nearer than twice the taller wall of 3 m; always; never."""
    assert bool(combined_heights([tier("a", "b", offset_m)], HEIGHTS, within, HEIGHTS)) == counts


def test_tier_facts_name_both_walls_and_the_offset() -> None:
    """The lower wall is told what stands how far behind it, and how the heights add up."""
    walls = [laid(level_wall(name="lower")), laid(level_wall(name="upper", front=ft(4)))]
    measured = {"lower": ft(5), "upper": ft(5)}
    facts = tier_facts([tier("lower", "upper", ft(6))], walls, 2.0, measured, US)
    assert list(facts) == ["lower"]
    words = "upper stands 6 ft behind the face of lower."
    assert facts["lower"]["tiers"] == Fact(value=1.0, words=words)
    combined = facts["lower"]["combined_height"]
    assert combined.value == pytest.approx(ft(10))
    assert combined.words == "Together 10 ft: lower 5 ft + upper 5 ft."


@pytest.mark.parametrize(("offset_m", "counts"), [(5.99, True), (6.0, False)])
def test_combined_heights_go_by_the_taller_wall(offset_m: float, counts: bool) -> None:
    """The lower wall may be the smaller one: 3 m above 1 m count up to 6 m."""
    assert bool(combined_heights([tier("c", "a", offset_m)], HEIGHTS, 2.0, HEIGHTS)) == counts


def test_combined_heights_add_what_the_place_measures() -> None:
    """Reach goes by the walls themselves, 2 x 3 m; the sum by heights from the bottom of the pad,
    15 cm more each."""
    measured = {name: height + 0.15 for name, height in HEIGHTS.items()}
    found = combined_heights([tier("a", "b", 5.99)], HEIGHTS, 2.0, measured)
    assert found["a"][0] == pytest.approx(5.3)
    assert combined_heights([tier("a", "b", 6.0)], HEIGHTS, 2.0, measured) == {}
