"""How far from the line the moved lines of a corner still meet, worked out on a sketch."""

from __future__ import annotations

import math

import pytest

from service.core.job.spec import TurnSide
from service.core.layout.corner import CornerJoint
from tests.given.walls import curve, straight


def joint(curve_side: TurnSide, corner_side: TurnSide) -> CornerJoint:
    """A quarter circle of 1 m that runs into a corner before a straight of 5 m."""
    return CornerJoint(
        part=1,
        station_m=0.0,
        side=corner_side,
        angle_rad=math.pi / 2,
        before=(curve(curve_side, 1.0, 90),),
        after=(straight(5.0),),
    )


@pytest.mark.parametrize("corner_side", ["outside", "inside"])
def test_met_m_is_where_a_line_touches_the_last_circle(corner_side: TurnSide) -> None:
    """At a right corner the straight points to the center or away from it. Moved by x it passes
    the center x beside it, and the circle has 1 m - x left: they meet up to 0.5 m."""
    sides: tuple[tuple[int, TurnSide], ...] = ((1, "outside"), (-1, "inside"))
    for sense, curve_side in sides:
        found = joint(curve_side, corner_side)
        assert found.met_m(sense * 0.4) == sense * 0.4
        assert found.met_m(sense * 0.8) == pytest.approx(sense * 0.5, abs=1e-9)
        assert found.met_m(sense * 30.0) == pytest.approx(sense * 0.5, abs=1e-9)


def test_met_m_is_the_offset_where_the_circle_grows() -> None:
    """On the other side the circle of 1 m + x is always larger than the distance x."""
    sides: tuple[tuple[int, TurnSide], ...] = ((-1, "outside"), (1, "inside"))
    for sense, curve_side in sides:
        assert joint(curve_side, "outside").met_m(sense * 30.0) == sense * 30.0


def test_met_m_between_two_circles_is_where_they_touch() -> None:
    """Two quarter circles of 1 m at a right corner: their centers stand at (0, 1) and (-1, 0), the
    root of 2 apart. Circles of 1 m - x touch where that is 2 - 2 x; beyond 1 m nothing is left of
    them, however large they would be on the other side."""
    arcs = (curve("outside", 1.0, 90),)
    found = CornerJoint(
        part=1, station_m=0.0, side="outside", angle_rad=math.pi / 2, before=arcs, after=arcs
    )
    touch = 1 - math.sqrt(2) / 2
    assert found.met_m(0.2) == 0.2
    for x_m in (0.5, 0.9, 3.0):
        assert found.met_m(x_m) == pytest.approx(touch, abs=1e-9)


def test_met_m_ends_where_what_comes_next_is_used_up_before() -> None:
    """A stub of 2 m moved by x meets the circle of 5 m after a corner of 30 deg, whose center
    stands at (-2.5, 5 cos 30 deg), at 2.5 m less the root of 6.25 - (10 - 10 cos 30 deg) x before
    the corner: 2 m, all of the stub, where that root is 0.5. The curve of 1 m before it has long
    been moved over its center."""
    found = CornerJoint(
        part=1,
        station_m=0.0,
        side="outside",
        angle_rad=math.radians(30),
        before=(straight(2.0), curve("outside", 1.0, 60)),
        after=(curve("outside", 5.0, 90),),
    )
    last = 6 / (10 - 10 * math.cos(math.radians(30)))
    assert found.met_m(last - 0.01) == last - 0.01
    assert found.met_m(10.0) == pytest.approx(last, abs=1e-9)


def test_is_mitre_up_to_the_shorter_of_two_straights() -> None:
    """At a right corner each of two straights before curves loses as much as they are moved by:
    1 m of the one is used up then, 3 m of the other not yet."""
    found = CornerJoint(
        part=2,
        station_m=0.0,
        side="outside",
        angle_rad=math.pi / 2,
        before=(straight(1.0), curve("outside", 9.0, 30)),
        after=(straight(3.0), curve("outside", 9.0, 30)),
    )
    assert [found.is_mitre(x_m) for x_m in (-2.0, 0.9, 1.1, 2.0)] == [True, True, False, False]
