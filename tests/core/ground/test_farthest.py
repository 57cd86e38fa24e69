"""How far earthwork reaches between two stations, by the sections that were drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.ground.cut_edges import Extent
from service.core.ground.earthwork import farthest_m
from tests.given.earth import dig_section, dug, ground_wall
from tests.given.walls import ft

DRAWN = ((0.0, 5.0), (10.0, 4.0), (20.0, 3.0), (40.0, 6.0))


@pytest.mark.parametrize(
    ("from_ft", "to_ft", "reach"),
    [(0, 20, 5), (10, 20, 4), (20, 20, 3), (20, 40, 6), (14, 18, 3), (12, 16, 4), (31, 33, 6)],
)
def test_farthest_goes_by_the_sections_between_two_stations(
    from_ft: float, to_ft: float, reach: float
) -> None:
    """The farthest of those between them; where none was drawn, the one nearest to their middle:
    16 ft lies nearer to 20 than to 10."""
    wall = dug(ground_wall((0, 4, 0, 4), (40, 4, 0, 4), graded_in_front_m=ft(3)), dig_section())
    extents = tuple(
        Extent(station_m=ft(station), front_m=0.0, behind_m=behind) for station, behind in DRAWN
    )
    found = farthest_m(replace(wall, extents=extents), "behind", ft(from_ft), ft(to_ft))
    assert found == reach
