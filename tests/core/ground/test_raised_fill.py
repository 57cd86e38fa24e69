"""What share of a wall's fill comes up with its courses."""

from __future__ import annotations

import pytest

from service.core.ground.raised_fill import FillSection, raised_share


@pytest.mark.parametrize(
    ("near", "share"),
    [
        (0.0, 0.0),
        (0.9e-9, 0.0),
        (1e-9, 1e-9),
        (0.25, 0.25),
        (1 - 1e-9, 1 - 1e-9),
        (1 - 0.9e-9, 1.0),
        (1.0, 1.0),
    ],
)
def test_raised_share_is_nothing_or_all_but_for_noise(near: float, share: float) -> None:
    """Of 1 m2, so much within a meter: less than a billionth is none, as much short of it all."""
    behind = ((0.0, near, 1.0, near), (1.0, 1 - near, 2.0, 1 - near))
    ends = [FillSection(station_m=at, area_m2=1.0, behind=behind) for at in (0.0, 1.0)]
    assert raised_share(ends, 1.0) == share
