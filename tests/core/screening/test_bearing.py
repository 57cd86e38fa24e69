"""What the ground bears: the edges of its factors."""

from __future__ import annotations

import math

import pytest

from service.core.screening.formulas.bearing import bearing_factors, strip_capacity_pa
from tests.given.statics import deg


def test_bearing_factors_without_friction_are_those_of_clay() -> None:
    """1 and 0, met without a jump from above."""
    clay, near = bearing_factors(0.0), bearing_factors(1e-6)
    assert (clay.nq, clay.ngamma) == pytest.approx((1.0, 0.0))
    assert (near.nq, near.ngamma) == pytest.approx((1.0, 0.0), abs=1e-5)


def test_bearing_factors_hold_up_to_90_deg() -> None:
    """At 60 deg tan² 75 = 7 + 4 √3: e^(π √3) times that is 3,214.1; 2 x 3,215.1 x √3 = 11,137.6."""
    root = math.sqrt(3)
    steep = bearing_factors(deg(60))
    assert steep.nq == pytest.approx(math.exp(math.pi * root) * (7 + 4 * root))
    assert steep.ngamma == pytest.approx(2 * (steep.nq + 1) * root)


@pytest.mark.parametrize("friction", [-1, 90])
def test_bearing_factors_refuse_an_angle_out_of_range(friction: float) -> None:
    """A friction angle is 0 or more, and under 90 deg."""
    with pytest.raises(ValueError, match="under 90°"):
        bearing_factors(deg(friction))


def test_strip_capacity_counts_the_ground_beside_it() -> None:
    """Soil without friction, 1 m deep in 18 kN/m3, bears what was dug out: 18 kPa at any width."""
    assert strip_capacity_pa(0.0, 18_000, 1.0, 2.0) == pytest.approx(18_000)
    assert strip_capacity_pa(0.0, 18_000, 1.0, 5.0) == pytest.approx(18_000)


def test_strip_capacity_is_that_beside_and_below() -> None:
    """18 kN/m3, 2 m deep and 3 m wide: 36,000 Nq and half of 54,000 Nγ."""
    factors = bearing_factors(deg(60))
    found = strip_capacity_pa(deg(60), 18_000, 2.0, 3.0)
    assert found == pytest.approx(36_000 * factors.nq + 27_000 * factors.ngamma)
