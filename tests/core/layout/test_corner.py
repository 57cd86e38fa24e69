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
