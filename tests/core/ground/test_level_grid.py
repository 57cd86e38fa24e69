"""Grids of existing and finished levels: what their cells come to, and what is said of them."""

from __future__ import annotations

import pytest

from service.core.ground.level_grid import measure_grid
from service.core.measure import METRIC
from tests.given.graded import grid

FINISHED = [[1.0, 2.0, 1.0], [0.5, 1.0, 0.0], [0.25, 0.75, 2.5], [1.0, 0.5, 1.0]]


def test_measure_grid_tells_cells_with_both_cut_and_fill() -> None:
    """Four rows of three levels, 4 m and 5 m apart, make 3 x 2 cells of 20 m2. Cut is
    2 2 -2 / 2 1 -1 / 0 1 3 / 0 0 0: the two upper cells at the right have both signs at corners."""
    existing = [[3.0, 4.0, -1.0], [2.5, 2.0, -1.0], [0.25, 1.75, 5.5], [1.0, 0.5, 1.0]]
    found = measure_grid(grid(existing, FINISHED, spacing=5.0, row_spacing=4.0), METRIC)
    assert found.area_m2 == pytest.approx(3 * 2 * 20)
    assert found.highest_finished_m == 2.5
    size, mixed = found.how
    assert size == "4 rows of 3 levels, rows 4 m and columns 5 m apart: 6 cells"
    assert mixed.startswith("cells with both cut and fill: 2; ")


def test_measure_grid_says_nothing_of_both_where_all_is_cut() -> None:
    """Ground 1 m over the finished one everywhere."""
    existing = [[level + 1.0 for level in row] for row in FINISHED]
    assert len(measure_grid(grid(existing, FINISHED), METRIC).how) == 1
