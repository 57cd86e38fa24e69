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


@pytest.mark.parametrize("by", [-2.5, 0.9, 5])
def test_moved_line_is_the_moved_run_of_the_plan(by: float) -> None:
    """A station lies as far along the moved line as the plan up to there is long when moved, to
    the last digit: within parts, at their ends, and beside a corner, but ahead of its end."""
    parts: list[PlanPart] = [
        curve("outside", ft(30), 10),
        straight(ft(1)),
        curve("inside", ft(20), 15),
    ] * 3
    line = moved(by, *parts, corner("outside", 40), *parts)
    first = line.plan.legs_m[0]
    before = line.plan.run_length_m(0.0, first, line.by_m)
    ends = [end + near for end in line.plan.part_ends_m for near in (-1e-6, -1e-12, 0.0, 1e-12)]
    for station in (*ends, *(line.plan.length_m * n / 97 for n in range(1, 97))):
        if first < station < line.plan.length_m:
            run = before + line.plan.run_length_m(first, station, line.by_m)
        elif station < first:
            run = line.plan.run_length_m(0.0, station, line.by_m)
        else:
            continue
        end = line.at(first if station < first else line.plan.length_m)
        assert line.at(station) == min(run, math.nextafter(end, 0.0))
    whole = before + line.plan.run_length_m(first, line.plan.length_m, line.by_m)
    assert line.at(line.plan.length_m) == whole


def test_moved_line_stays_ahead_of_a_corner_that_takes_more_than_a_part() -> None:
    """5 ft behind an outside corner of 60 deg 2.9 ft are lost, of which the straight before it has
    half a foot: its stations and the last ones of the arc before that lie just ahead of the moved
    corner, those of the straight before both as far along as they are."""
    parts = (straight(ft(20)), curve("inside", ft(20), 10), straight(ft(0.5)))
    line = moved(5, *parts, corner("outside", 60), straight(ft(30)))
    first = line.plan.legs_m[0]
    for near in (ft(1), ft(0.3), 1e-5, 1e-7):
        assert line.at(first - near) == math.nextafter(line.at(first), 0.0)
    assert line.at(ft(19)) == ft(19)


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
