"""Where walls of one job lie to each other: moved lines and offsets from tier to tier."""

from __future__ import annotations

import math

import pytest

from service.core.ground.tiers.tier_line import MovedLine, neighbors
from service.core.job.spec import PlanPart, Tier
from service.core.layout.plan import measure
from tests.given.walls import corner, curve, ft, straight, to_ft


def moved(by: float, *parts: PlanPart) -> MovedLine:
    """A plan moved by feet."""
    return MovedLine(plan=measure(parts), by_m=ft(by))


@pytest.mark.parametrize(
    ("at", "there"), [(-3, -3), (0, 0), (10, 10), (18, 15), (20, 15), (25, 15), (30, 20), (52, 42)]
)
def test_moved_line_loses_stations_at_an_outside_corner(at: float, there: float) -> None:
    """5 ft behind an outside corner of 90 deg each leg is 5 ft shorter; beyond the ends it runs on
    straight."""
    line = moved(5, straight(ft(20)), corner("outside", 90), straight(ft(30)))
    assert to_ft(line.at(ft(at))) == pytest.approx(there)


def test_moved_line_gains_stations_at_an_inside_corner() -> None:
    """5 ft behind an inside corner of 90 deg each leg is 5 ft longer: 10 ft beyond the corner lie
    20 ft beyond the moved one's."""
    line = moved(5, straight(ft(20)), corner("inside", 90), straight(ft(30)))
    assert to_ft(line.at(ft(10))) == pytest.approx(10)
    assert to_ft(line.at(ft(30))) == pytest.approx(25 + 5 + 10)


def test_moved_line_shrinks_and_grows_along_arcs() -> None:
    """An arc of 20 ft radius is three quarters as long 5 ft toward its center."""
    arc = curve("outside", ft(20), 90)
    assert to_ft(moved(5, arc).at(ft(8))) == pytest.approx(6)
    assert to_ft(moved(-5, arc).at(ft(8))) == pytest.approx(10)
    assert to_ft(moved(5, arc).at(ft(10 * math.pi + 1))) == pytest.approx(7.5 * math.pi + 1)


def test_neighbors_add_offsets_up_from_tier_to_tier() -> None:
    """A wall two tiers up stands behind by both offsets, seen from below and from above; a stated
    offset between the two counts before their sum; walls beside each other are no neighbors."""
    tiers = [
        Tier(lower="a", upper="b", offset_m=2.0),
        Tier(lower="b", upper="c", offset_m=3.0),
        Tier(lower="a", upper="d", offset_m=1.0),
    ]
    found = neighbors(["a", "b", "c", "d", "e"], tiers)
    assert [(each.name, each.behind_m, each.above) for each in found["a"]] == [
        ("b", 2.0, True),
        ("c", 5.0, True),
        ("d", 1.0, True),
    ]
    assert [(each.name, each.behind_m) for each in found["c"]] == [("a", -5.0), ("b", -3.0)]
    assert [each.name for each in found["d"]] == ["a"]
    assert found["e"] == ()
    stated = neighbors(["a", "b", "c"], [*tiers, Tier(lower="a", upper="c", offset_m=5.5)])
    assert {each.name: each.behind_m for each in stated["a"]}["c"] == 5.5
