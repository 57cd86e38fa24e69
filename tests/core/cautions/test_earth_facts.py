"""Facts of the earthwork: what is left standing where grading stops."""

from __future__ import annotations

import pytest

from service.core.cautions.earth_facts import wall_earth_facts
from service.core.ground.balance import balance
from service.core.measure import US
from tests.given.earth import dig_section, dug, ground_wall, soil
from tests.given.walls import ft, inch


@pytest.mark.parametrize(
    ("back_in", "over_in", "stands_in"),
    [(1.0, 1.0, 0.0), (1.1, 1.0, 1.1), (1.1, 2.0, 0.0), (0.6, 0.5, 0.6)],
)
def test_ground_left_standing_goes_by_the_limit_of_the_place(
    back_in: float, over_in: float, stands_in: float
) -> None:
    """Up to the limit no ground is left standing, beyond it with its height and its station."""
    spec = ground_wall((0, 4, 0, 0), (40, 4, 0, 0), back=back_in / 12, graded_behind_m=ft(12))
    wall = dug(spec, dig_section(minimum=inch(12)))
    earth = balance([wall], [], soil(), None, None, None, US)
    fact = wall_earth_facts(earth, inch(over_in), US)[wall.wall]["ground_left_standing"]
    assert fact.value == pytest.approx(inch(stands_in))
    assert bool(fact.words) == bool(stands_in)
