"""What screening takes from the soils of a job."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.screening.soil_figures import soil_figures
from tests.given.basis import ASSOCIATION
from tests.given.earth import soil
from tests.given.walls import section


@pytest.mark.parametrize(("stone", "base"), [(None, 0.45), (0.4, 0.4), (0.5, 0.45)])
def test_base_slides_on_the_weaker_of_ground_and_stone(stone: float | None, base: float) -> None:
    """Ground of 0.45 rad; a pad that says nothing of its stone is as strong."""
    plain = section()
    detail = replace(plain, leveling_pad=replace(plain.leveling_pad, friction_angle_rad=stone))
    under = replace(soil("under"), friction_angle_rad=0.45)
    found = soil_figures(soil(), under, None, detail, ASSOCIATION)
    assert found.base_friction_rad == base
    assert (found.foundation_friction_rad, found.friction_rad) == (0.45, 0.5)
