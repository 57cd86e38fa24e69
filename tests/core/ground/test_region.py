"""Areas between lines: pieces that have no width are none."""

from __future__ import annotations

import pytest

from service.core.ground.region import Line, Region, moments


def test_lines_that_cross_at_one_offset_part_an_area_once() -> None:
    """Two uppers cross at 1, two lowers too: over 2 ft the height is 4, 5, 4, in two pieces."""
    uppers = Line(1.0, 5.0, 1.0), Line(1.0, 5.0, -1.0)
    lowers = Line(1.0, 0.0, 0.0), Line(1.0, 0.0, -3.0)
    region = Region()
    region.add(uppers, lowers, 0.0, 2.0)
    assert [(a, b) for a, _, b, _ in region.trapezoids] == [(0.0, 1.0), (1.0, 2.0)]
    # over the first half the lower one falls from 3 to 0, under 4 to 5; then 5 to 4 over 0
    assert moments(region.trapezoids)[0] == pytest.approx((1 + 5) / 2 + (5 + 4) / 2)
