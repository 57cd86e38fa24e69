"""Loads above a wall: what counts, what adds up, what was said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.load import Load
from service.core.job.spec import LoadAbove, WallSpec
from service.core.screening.loads import back_slope_at, counted_above, states_load
from tests.given.walls import ft, level_wall

PSF = 4.4482216152605 / 0.3048**2  # Pa
DRIVEWAY = Load(id="driveway", version="1", title="Driveway", load_pa=250 * PSF)
PATIO = Load(id="patio", version="1", title="Patio", load_pa=100 * PSF)
SLOPE = Load(id="slope", version="1", title="Slope", load_pa=0.0, sloped=True)


def below(*above: LoadAbove, back_slope: float = 0.0) -> WallSpec:
    """A wall with these loads above it."""
    spec = level_wall()
    return replace(spec, above=above, back_slope=back_slope)


@pytest.mark.parametrize(("from_ft", "counts"), [(0, True), (7.99, True), (8.0, False), (9, False)])
def test_counted_above_is_what_begins_nearer_than_twice_the_height(
    from_ft: float, counts: bool
) -> None:
    """Over a wall of 4 ft a drive counts up to 8 ft, and at 8 ft no more."""
    drive = DRIVEWAY.above(ft(from_ft))
    assert list(counted_above(below(drive), ft(4), 2.0)) == [drive] * counts


def test_counted_above_takes_each_load_by_itself() -> None:
    """A patio before a drive: both over 4 ft; the drive begins at twice 3 ft."""
    patio, drive = PATIO.above(ft(1)), DRIVEWAY.above(ft(6))
    spec = below(patio, drive)
    assert list(counted_above(spec, ft(4), 2.0)) == [patio, drive]
    assert list(counted_above(spec, ft(3), 2.0)) == [patio]


@pytest.mark.parametrize(
    ("back", "above", "from_ft", "expected"),
    [
        (0.0, 1 / 3, 6, 1 / 3),  # a broken slope at its full angle
        (0.0, 1 / 3, 8, 0.0),  # too far behind a wall of 4 ft
        (0.5, 1 / 3, 2, 0.5),  # the steeper of the two
        (-0.1, 1 / 3, 2, 1 / 3),
        (-0.1, 1 / 3, 20, -0.1),
    ],
)
def test_back_slope_at_takes_the_steepest_near_the_wall(
    back: float, above: float, from_ft: float, expected: float
) -> None:
    """A slope that begins behind a level strip counts from the wall on, at its full angle."""
    spec = below(SLOPE.above(ft(from_ft), above), back_slope=back)
    assert back_slope_at(spec, ft(4), 2.0) == expected


def test_states_load_tells_none_from_nobody_asked() -> None:
    """A surcharge of 0 that was given, or a lawn, is a statement; silence is not."""
    lawn = Load(id="lawn", version="1", title="Lawn", load_pa=0.0)
    assert not states_load(level_wall())
    assert states_load(replace(level_wall(), surcharge_stated=True))
    assert states_load(below(lawn.above(0.0)))


def test_above_keeps_what_the_catalog_says() -> None:
    """A load above a wall is the catalog's, where it begins and as steep as was said."""
    found = DRIVEWAY.above(ft(4), 0.25)
    assert (found.what, found.title, found.load_pa) == ("driveway", "Driveway", 250 * PSF)
    assert (found.from_m, found.slope) == (ft(4), 0.25)
