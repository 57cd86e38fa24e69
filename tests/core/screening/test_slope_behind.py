"""The nearest ground that rises behind a wall, by hand.

Six courses of 8 in, each 1 in behind the one below, units 12 in deep: the ground begins 17 in
behind the plan line, and back grade is the top, at 4 ft.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.load import Load
from service.core.job.spec import LoadAbove, WallSpec
from service.core.screening.slope_behind import rise_behind
from tests.given.earth import ground_wall
from tests.given.walls import entry, ft, inch, laid, level_wall, section, straight, system, wall

BANK = Load(id="bank", version="1", title="Bank", load_pa=0.0, sloped=True)
BACK = inch(17)
FAR = ft(100)


def rise(spec: WallSpec, steeper_than: float = 0.0, within_m: float = FAR) -> object:
    """What rises behind a wall without a cap that buries nothing."""
    layout = laid(spec, system(cap=None), section(minimum=0.0, shares=((0.0, 0.0),)))
    return rise_behind(layout, within_m, steeper_than)


def near(distance_m: float, slope: float) -> object:
    """A distance and a slope, but for what arithmetic leaves."""
    return pytest.approx((distance_m, slope), rel=1e-9)


def under(*above: LoadAbove, back_slope: float = 0.0) -> WallSpec:
    """A wall before ground that nobody measured."""
    return replace(level_wall(), above=above, back_slope=back_slope)


def surveyed(*points: tuple[float, float]) -> WallSpec:
    """A wall before ground that was measured through these points, ft."""
    return ground_wall((0, 4, 0, 0), (40, 4, 0, 0), section_pairs=points)


def test_slope_from_the_wall_on_begins_at_the_back_of_the_top_course() -> None:
    """1 in 3, steeper than 0.333, not than 1/3 itself; level and falling ground never rise."""
    third = under(back_slope=1 / 3)
    assert rise(third, 0.333) == near(BACK, 1 / 3)
    assert rise(third, 1 / 3) is None
    assert rise(under()) is None
    assert rise(under(back_slope=-0.25)) is None


def test_ground_behind_a_wall_of_two_heights_begins_behind_the_higher_one() -> None:
    """20 ft of six courses and 20 ft of nine, the topmost 8 in back: 20 in."""
    first = (entry(0.0, ft(4)), entry(ft(20), ft(4)))
    entries = (*first, entry(ft(20), ft(6)), entry("end", ft(6)))
    spec = replace(wall((straight(ft(40)),), entries), back_slope=0.25)
    assert rise(spec) == near(inch(20), 0.25)


def test_bank_counts_that_begins_nearer_than_is_asked() -> None:
    """From 6 ft on, 1 in 2: within 6.01 ft, not within 6 ft."""
    bank = under(BANK.above(ft(6), 0.5))
    assert rise(bank, within_m=ft(6.01)) == near(ft(6), 0.5)
    assert rise(bank, within_m=ft(6)) is None


def test_bank_that_is_stated_over_the_units_begins_behind_them() -> None:
    """6 in behind the plan line is over the units."""
    assert rise(under(BANK.above(ft(0.5), 0.5))) == near(BACK, 0.5)


def test_nearest_of_two_banks_is_the_one_that_is_steep_enough() -> None:
    """1 in 4 from 3 ft on, 1 in 2 from 5 ft on, however they are told."""
    flat, steep = BANK.above(ft(3), 0.25), BANK.above(ft(5), 0.5)
    for both in (under(flat, steep), under(steep, flat)):
        assert rise(both, 0.2) == near(ft(3), 0.25)
        assert rise(both, 0.3) == near(ft(5), 0.5)


def test_bank_of_no_length_is_none() -> None:
    """0.01 mm of 1 in 2 before 1 in 4; a tenth of a millimeter is a bank."""
    for length_m, slope in ((0.00001, 0.25), (0.0001, 0.5)):
        first = BANK.above(ft(3), 0.5)
        spec = under(first, BANK.above(ft(3) + length_m, 0.25))
        assert rise(spec) == near(ft(3) + (length_m if slope == 0.25 else 0.0), slope)


def test_wall_before_a_measured_bank_has_it_from_its_back_on() -> None:
    """Ground at 5 ft at the plan line, 10 ft high 10 ft on: over back grade, cut into."""
    assert rise(surveyed((0, 5), (10, 10))) == near(BACK, 0.5)


def test_level_ground_meets_a_measured_bank_farther_back() -> None:
    """From 3 ft up to 5 ft over the first 10 ft: 4 ft high, as back grade, at 5 ft; from 10 ft on
    it rises 3 in 10."""
    spec = surveyed((0, 3), (10, 5), (20, 8))
    assert rise(spec, 0.1) == near(ft(5), 0.2)
    assert rise(spec, 0.25) == near(ft(10), 0.3)
    assert rise(spec, 0.35) is None


def test_steepest_of_what_rises_at_one_distance_is_told() -> None:
    """A bank of 1 in 2 behind the start, of 1 in 4 behind the end, and the other way round."""
    steep, flat = (((0, 5), (10, 10)), ((0, 5), (10, 7.5)))
    for first, last in ((steep, flat), (flat, steep)):
        start, end = surveyed(*first).profile[0], surveyed(*last).profile[1]
        assert rise(replace(surveyed(*steep), profile=(start, end))) == near(BACK, 0.5)
