"""Cuts of walls as one: where they are deepest, and with which walls, by hand.

Walls and units are those of test_shared_cut.py: the trench bottom lies 7/6 ft under the front
grade, the upper wall stands 5 ft behind the lower one. Feet.
"""

from __future__ import annotations

import pytest

from service.core.ground.tiers.joined import join
from tests.core.ground.test_joined import tier
from tests.core.ground.test_shared_cut import excavated, tiers
from tests.given.walls import to_ft

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


@pytest.mark.parametrize(
    ("ground", "station"),
    [
        (((0, 3), (40, 2)), 0),
        (((0, 2), (20, 3), (20, 2), (40, 2)), 20),
        (((0, 2), (20, 2), (20, 3), (40, 2)), 20),
        (((0, 2), (40, 3)), 40),
        (((0, 3), (40, 3)), 0),
    ],
    ids=["start", "before a jump", "after a jump", "end", "level"],
)
def test_one_cut_is_deepest_where_the_ground_is_highest(
    ground: tuple[tuple[float, float], ...], station: float
) -> None:
    """Ground at 3 ft at one place, lower elsewhere, is 3 + 7/6 ft over the lower trench bottom:
    so deep is the upper wall's cut there, of several places at the first."""
    specs = [tier("low", 0, 8 / 3, *ground, back=2), tier("up", 2, 14 / 3, *ground, back=3)]
    for wall in join(excavated(specs), tiers(("low", "up", 5))).walls:
        assert to_ft(wall.deepest_m) == pytest.approx(3 + 7 / 6, abs=1e-5)
        assert to_ft(wall.deepest_station_m) == pytest.approx(station, abs=1e-5)


def test_one_cut_of_walls_that_are_no_tiers_of_each_other() -> None:
    """Two walls above one, 5 and 10 ft behind it, of which nobody says how they lie to each other:
    all three are one cut, and as deep as where the ground of the last stands at 4.5 ft."""
    level = (0, 3), (40, 3)
    bump = (0, 3), (13, 3), (13, 4.5), (17, 4.5), (17, 3), (40, 3)
    specs = [
        tier("a", 0, 8 / 3, *level, back=2),
        tier("b", 2, 14 / 3, *level, back=3),
        tier("d", 3, 17 / 3, *bump, back=3),
    ]
    walls = join(excavated(specs), tiers(("a", "b", 5), ("a", "d", 10))).walls
    assert [wall.one_cut_with for wall in walls] == [("b", "d"), ("a", "d"), ("a", "b")]
    for wall in walls:
        assert to_ft(wall.deepest_m) == pytest.approx(4.5 + 7 / 6)
        assert to_ft(wall.deepest_station_m) == pytest.approx(13, abs=1e-5)
