"""When a figure meets what is required: at the limit, from both sides."""

from __future__ import annotations

import math

import pytest

from service.core.job.basis import Required
from service.core.screening.check import Finding, holds
from service.core.screening.check_table import CHECK_TABLE

LEAST = CHECK_TABLE["base_sliding"]  # resistance over load
MOST = CHECK_TABLE["eccentricity"]  # e over the width
LIMIT = Required(value=0.25, text="0.25", source="invented")


@pytest.mark.parametrize(
    ("value", "least", "most"),
    [
        (0.25, True, True),
        (math.nextafter(0.25, 0), True, True),  # what arithmetic leaves of 0.25
        (math.nextafter(0.25, 1), True, True),
        (0.2499999, False, True),
        (0.2500001, True, False),
        (0.0, False, True),
        (math.inf, True, False),
    ],
)
def test_holds_at_its_limit(value: float, least: bool, most: bool) -> None:
    """Equal is enough, either way; a ten-millionth more or less is not equal."""
    for row, expected in ((LEAST, least), (MOST, most)):
        assert holds(Finding(check=row, station_m=0.0, value=value), LIMIT) is expected
