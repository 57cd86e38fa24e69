"""Tiers: one wall, or two apart."""

from __future__ import annotations

import math

import pytest

from service.core.screening.tier_statics import acts_as_one, independent_offset_share
from tests.given.statics import deg
from tests.given.walls import ft


def test_acts_as_one_up_to_a_share_of_both_heights() -> None:
    """4 ft on 6 ft: 0.5 ft apart is one wall by a twentieth, 0.51 ft is not, 0.9 ft by a tenth."""
    assert acts_as_one(ft(0.5), ft(4), ft(6), 1 / 20)
    assert not acts_as_one(ft(0.51), ft(4), ft(6), 1 / 20)
    assert acts_as_one(ft(0.9), ft(4), ft(6), 1 / 10)


def test_independent_offset_without_friction_is_endless() -> None:
    """Soil without friction hands the load on at any distance."""
    assert independent_offset_share(0.0) == math.inf


def test_trap_40_two_tiers_are_not_two_small_walls() -> None:
    """3 ft on 3 ft, 4 ft apart in 30 deg: 3 x 1.732 = 5.196 ft would set them apart, 4 do not."""
    assert independent_offset_share(deg(30)) * 3 == pytest.approx(5.196, abs=0.001)
