"""Depths of cut: what floats leave of nothing is nothing."""

from __future__ import annotations

import pytest

from service.core.ground.prism import LEVEL_M, depth_of_cut


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(("apart", "depth"), [(0.5, 0.0), (1.0, 0.0), (1.5, 1.5)])
def test_depth_of_cut_leaves_out_what_levels_differ_by_nothing(
    sign: int, apart: float, depth: float
) -> None:
    """Up to a billionth of a meter two levels are one, up and down."""
    found = depth_of_cut(sign * apart * LEVEL_M, 0.0)
    assert found == pytest.approx(sign * depth * LEVEL_M, abs=1e-15)
