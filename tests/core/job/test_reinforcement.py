"""Layers of one wall."""

from __future__ import annotations

from tests.given.reinforcement import layer, reinforced
from tests.given.walls import ft, laid, level_wall


def test_layers_reach_as_far_as_the_longest_one() -> None:
    """5 ft of 4, 5 and 3 ft; without layers nothing reaches into the soil."""
    layout = laid(level_wall())
    layers = [layer(layout, course, ft(feet)) for course, feet in ((1, 4), (3, 5), (5, 3))]
    assert reinforced(layout, *layers).reach_m == ft(5)
    assert reinforced(layout).reach_m == 0.0
