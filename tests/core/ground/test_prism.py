"""Depths of cut: what floats leave of nothing is nothing, and stays untouched."""

from __future__ import annotations

import pytest

from service.core.ground.prism import LEVEL_M, Prism, add_up, depth_of_cut


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(("apart", "depth"), [(0.5, 0.0), (1.0, 0.0), (1.5, 1.5)])
def test_depth_of_cut_leaves_out_what_levels_differ_by_nothing(
    sign: int, apart: float, depth: float
) -> None:
    """Up to a billionth of a meter two levels are one, up and down."""
    found = depth_of_cut(sign * apart * LEVEL_M, 0.0)
    assert found == pytest.approx(sign * depth * LEVEL_M, abs=1e-15)


def test_add_up_passes_over_ground_that_nobody_touches() -> None:
    """Of two prisms the second alone is cut: 7 m2 x 3 m on average; the first stays as it is, even
    where topsoil lowers the rest by 0.5 m."""
    prisms = [Prism(5.0, (0.0, 0.0, 0.0)), Prism(7.0, (3.0, 2.0, 4.0))]
    moved = add_up(prisms, -0.5)
    assert moved.cut_m3 == pytest.approx(7 * 2.5)
    assert (moved.cut_m2, moved.touched_m2) == (7, 7)
    assert (moved.fill_m3, moved.fill_m2) == (0, 0)
