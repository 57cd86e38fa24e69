"""Tiers: one wall, two apart, or between."""

from __future__ import annotations

import math

import pytest

from service.core.screening.tier_statics import (
    acts_as_one,
    independent_offset_share,
    relation,
    tier_lengths_m,
)
from tests.given.statics import deg
from tests.given.walls import ft


def test_acts_as_one_up_to_a_twentieth_of_both_heights() -> None:
    """4 ft on 6 ft: 0.5 ft apart is one wall, 0.51 ft is not; another share can be given."""
    assert acts_as_one(ft(0.5), ft(4), ft(6))
    assert not acts_as_one(ft(0.51), ft(4), ft(6))
    assert acts_as_one(ft(0.9), ft(4), ft(6), share=0.1)


@pytest.mark.parametrize(
    ("offset", "expected"),
    [(0.4, "one_wall"), (0.6, "between"), (10.3, "between"), (10.4, "independent")],
)
def test_relation_goes_by_the_lower_height(offset: float, expected: str) -> None:
    """4 ft on 6 ft in 30 deg: apart from 6 x 1.732 = 10.392 ft on, one wall up to 0.5 ft."""
    assert relation(ft(offset), ft(4), ft(6), deg(30)) == expected


def test_independent_offset_without_friction_is_endless() -> None:
    """Soil without friction hands the load on at any distance."""
    assert independent_offset_share(0.0) == math.inf
    assert relation(ft(500), ft(4), ft(6), 0.0) == "between"


def test_tier_lengths_take_both_heights_below() -> None:
    """4 ft on 6 ft: 0.7 x 4 = 2.8 ft above, 0.6 x 10 = 6 ft below."""
    found = tier_lengths_m(ft(4), ft(6), upper_share=0.7, lower_share=0.6)
    assert found.upper_m == pytest.approx(ft(2.8))
    assert found.lower_m == pytest.approx(ft(6))


def test_trap_40_two_tiers_are_not_two_small_walls() -> None:
    """3 ft on 3 ft, 4 ft apart in 30 deg: 3 x 1.732 = 5.196 ft would set them apart, 4 do not."""
    assert relation(ft(4), ft(3), ft(3), deg(30)) == "between"
    assert relation(ft(5.2), ft(3), ft(3), deg(30)) == "independent"
