"""Edges of trench and cut of one section."""

from __future__ import annotations

import pytest

from tests.given.earth import FOOT_DEEP, SIX_HIGH, dug, ground_wall
from tests.given.walls import to_ft


def test_cut_edges_stand_as_high_as_the_ground_and_reach_as_far_as_the_cut() -> None:
    """Ground rises 4:1 through 1 ft at the plan line; trench from -0.5 ft, 1.5 ft under 0; floor
    to 2 ft at -1 ft. The front stands from -1.5 up to 0.875 ft. At 1:1 the cut rises from 2 ft to
    where x - 3 = 1 + x / 4: at 16/3 ft, 10/3 ft over the floor."""
    spec = ground_wall((0, 4, 0, 1), (40, 4, 0, 1), existing_slope=0.25, graded_behind_m=0.0)
    edge = dug(spec, FOOT_DEEP, SIX_HIGH).edges[-1]
    found = edge.front_edge_m, edge.face_m, edge.reach.front_m, edge.reach.behind_m, edge.station_m
    assert [to_ft(each) for each in found] == pytest.approx([2.375, 10 / 3, 0.5, 16 / 3, 40])
