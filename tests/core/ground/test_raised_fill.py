"""What share of a wall's fill comes up with its courses."""

from __future__ import annotations

import pytest

from service.core.ground.raised_fill import FillSection, raised_share
from tests.given.earth import FOOT_DEEP, SIX_HIGH, dug, ground_wall
from tests.given.walls import ft, to_ft2


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


@pytest.mark.parametrize("scale", [1.0, 0.01])
def test_raised_share_weighs_sections_by_the_way_between_them(scale: float) -> None:
    """From 3 to 5 m the means are 3 m2 of which 1.5 lie near, from 5 to 10 m 5 m2 and 1: of 31 m3
    8 come up with the courses, and so they do of a hundredth of all."""
    rows = [
        (at, area * scale, near * scale)
        for at, area, near in ((3.0, 2.0, 1.0), (5.0, 4.0, 2.0), (10.0, 6.0, 0.0))
    ]
    sections = [
        FillSection(
            station_m=at,
            area_m2=area,
            behind=((0.0, near, 1.0, near), (1.0, area - near, 2.0, area - near)),
        )
        for at, area, near in rows
    ]
    assert raised_share(sections, 1.0) == pytest.approx(8 / 31)


def test_raised_share_of_no_fill_is_nothing() -> None:
    """Where nothing is filled nothing comes up."""
    sections = [FillSection(station_m=at, area_m2=0.0, behind=()) for at in (0.0, 7.0)]
    assert raised_share(sections, 1.0) == 0.0


def test_fill_section_is_all_of_the_fill() -> None:
    """4 ft high over level ground, beyond a cut that ends at 3 ft, up to 12 ft: 36 ft2."""
    spec = ground_wall((0, 4, 0, 0), (40, 4, 0, 0), graded_behind_m=ft(12))
    found = dug(spec, FOOT_DEEP, SIX_HIGH).fill_sections[0]
    assert to_ft2(found.area_m2) == pytest.approx(4 * (12 - 3))
