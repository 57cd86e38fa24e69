"""What the ground bears: its edges, and base pressure inside and outside the middle third."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.screening.bearing import base_pressure, bearing_factors, strip_capacity_pa
from tests.given.statics import deg


def test_bearing_factors_without_friction_are_those_of_clay() -> None:
    """2 + π, 1 and 0, met without a jump from above."""
    clay, near = bearing_factors(0.0), bearing_factors(1e-6)
    assert (clay.nc, clay.nq, clay.ngamma) == pytest.approx((2 + math.pi, 1.0, 0.0))
    assert near.nc == pytest.approx(clay.nc, rel=1e-5)


@pytest.mark.parametrize("friction", [-1, 90])
def test_bearing_factors_refuse_an_angle_out_of_range(friction: float) -> None:
    """A friction angle is 0 or more, and under 90 deg."""
    with pytest.raises(ValueError, match="under 90°"):
        bearing_factors(deg(friction))


def test_strip_capacity_adds_cohesion_depth_and_width() -> None:
    """Clay of 20 kPa, 1 m deep in 18 kN/m3: 20 x 5.1416 + 18 = 120.83 kPa, whatever the width."""
    found = strip_capacity_pa(0.0, 18_000, 1.0, 2.0, 20_000)
    assert found == pytest.approx(20_000 * (2 + math.pi) + 18_000)
    assert strip_capacity_pa(0.0, 18_000, 1.0, 5.0, 20_000) == pytest.approx(found)


@pytest.mark.parametrize(
    ("off", "most", "least", "loaded"),
    [
        (0.0, 100.0, 100.0, 3.0),
        (0.25, 150.0, 50.0, 3.0),  # 6e/B is a half
        (0.5, 200.0, 0.0, 3.0),  # edge of the middle third
        (-0.25, 150.0, 50.0, 3.0),
        (1.0, 400.0, 0.0, 1.5),  # 2 x 300 / (3 x 0.5)
        (1.5, math.inf, 0.0, 0.0),
        (2.0, math.inf, 0.0, 0.0),
    ],
)
def test_base_pressure_follows_the_load(
    off: float, most: float, least: float, loaded: float
) -> None:
    """300 N/m on 3 m: both edges inside the middle third, one outside, none off the base."""
    found = base_pressure(300.0, off, 3.0)
    assert (found.most_pa, found.least_pa, found.loaded_m) == pytest.approx((most, least, loaded))


@given(st.floats(-0.49, 0.49), st.floats(0.3, 5))
def test_base_pressure_carries_all_of_the_load(share: float, base: float) -> None:
    """Mean of the edges x the width that presses is the load, wherever it stands."""
    found = base_pressure(1_000.0, share * base, base)
    carried = (found.most_pa + found.least_pa) / 2 * found.loaded_m
    assert carried == pytest.approx(1_000.0, rel=1e-9)
