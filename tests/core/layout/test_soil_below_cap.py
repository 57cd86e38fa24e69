"""Soil behind a wall to the underside of its cap, worked by hand: units 8 in high, a cap of 4 in,
courses from the top of 48 in down, so caps lie on joints at 44, 36, 28 and 20 in."""

from __future__ import annotations

import pytest

from service.core.job.spec import ProfileEntry
from service.core.layout.soil_below_cap import with_soil_below_cap
from service.core.measure import US
from tests.given.walls import entry, ft, inch, laid, straight, to_ft, wall


@pytest.mark.parametrize(
    ("profile", "back_ft"),
    [
        # Sloping to 36 in: from 26 ft 8 in on the cap lies on 36 in, where the line from 44 to
        # 36 in stands 2.67 in above it: 41.33 and 33.33 in, to 0.01 ft.
        pytest.param((entry(0.0, inch(48)), entry("end", inch(36))), (3.44, 2.77), id="slope"),
        # A jump to 36 in at mid length, then sloping to 22 in: from 25 ft 8.6 in on the cap lies
        # on 28 in, where the line from 36 to 20 in stands 3.43 in above it: 40.57, 32.57, 16.57.
        pytest.param(
            (
                entry(0.0, inch(48)),
                entry(ft(20), inch(48)),
                entry(ft(20), inch(36)),
                entry("end", inch(22)),
            ),
            (3.38, 2.71, 2.71, 1.38),
            id="jump",
        ),
        # 36 in are a mark of the rod themselves.
        pytest.param((entry(0.0, inch(40)), entry("end", inch(40))), (3.0, 3.0), id="mark"),
        # Soil that already lies lower stays.
        pytest.param(
            (entry(0.0, inch(48), back=inch(30)), entry("end", inch(48), back=inch(44))),
            (2.5, 44 / 12),
            id="lower",
        ),
    ],
)
def test_soil_ends_below_the_cap_at_every_station(
    profile: tuple[ProfileEntry, ...], back_ft: tuple[float, ...]
) -> None:
    """The line between two entries nowhere stands above the underside of a cap."""
    spec = with_soil_below_cap(laid(wall((straight(ft(40)),), profile)), US)
    assert [to_ft(each.back_grade_m) for each in spec.profile] == pytest.approx(back_ft, abs=1e-9)
