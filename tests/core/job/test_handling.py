"""The lift of a place: how often it is done takes off what one person may lift."""

from __future__ import annotations

import pytest

from service.core.job.handling import FrequencyRow, Handling
from service.core.job.lifting import Lift
from tests.given.walls import inch

BEST = Lift(reach_m=inch(10), hands_m=inch(30), travel_m=inch(10))
ROWS = (
    FrequencyRow(per_minute=1.0, multiplier=0.75),
    FrequencyRow(per_minute=6.0, multiplier=0.27),
)


@pytest.mark.parametrize(
    ("per_minute", "pounds"),
    [(0.5, 38.25), (1.0, 38.25), (1.1, 13.77), (6.0, 13.77), (6.1, 0.0)],
)
def test_limit_goes_by_the_first_row_that_is_lifted_no_oftener(
    per_minute: float, pounds: float
) -> None:
    """Of 51 lb, 0.75 up to once a minute and 0.27 up to six times; nothing beyond the last row."""
    handling = Handling(lift=BEST, frequencies=ROWS, per_minute=1.0)
    assert handling.limit_kg(per_minute) == pytest.approx(pounds * 0.45359237)
