"""Reach of reinforcement along a wall, and where a cut meets the ground."""

from __future__ import annotations

import pytest

from service.core.ground.region import GroundShortError, Polyline
from service.core.ground.trench import Trench, cut_ends_at_m, cut_face, reaches_of
from service.core.job.reinforcement import Layer

TRENCH = Trench(front_m=-0.2, rear_m=0.6, floor_m=0.9, pad_top_m=1.3, bottom_m=1.1)


def test_reaches_of_are_none_where_no_layer_lies() -> None:
    """Layers from 2 to 5 m and from 9 to 12 m: nothing asks for a floor between them."""
    layers = (
        Layer(from_m=9.0, to_m=12.0, joint=2, length_m=1.5),
        Layer(from_m=2.0, to_m=5.0, joint=4, length_m=2.5),
    )
    found = [(each.from_m, each.to_m, each.reach_m) for each in reaches_of(layers)]
    assert found == [(2.0, 5.0, 2.5), (5.0, 9.0, 0.0), (9.0, 12.0, 1.5)]


def test_a_cut_past_the_last_pair_asks_for_ground_a_meter_beyond_it() -> None:
    """Ground 4 m over a floor at 0.9 m is met 4 m behind it at 1:1; its last pair is at 3 m."""
    ground = Polyline((-1.0, 3.0), (5.3, 5.3))
    with pytest.raises(GroundShortError) as caught:
        cut_ends_at_m(TRENCH, cut_face(TRENCH, 1.0), ground)
    assert caught.value.offset_m == 4.0
