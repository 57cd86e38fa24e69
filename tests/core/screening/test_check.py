"""When a figure meets what is required: at the limit, from both sides."""

from __future__ import annotations

import math

import pytest

from service.core.job.basis import Required
from service.core.screening.check import Finding, governs, holds, worst
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


def test_holds_at_a_limit_of_nothing() -> None:
    """What must be 0 at most, or 0 at least, holds at 0; less than nothing isn't a least of 0."""
    none = Required(value=0.0, text="0", source="invented")
    for row, beyond in ((LEAST, -0.1), (MOST, 0.1)):
        assert holds(Finding(check=row, station_m=0.0, value=0.0), none)
        assert not holds(Finding(check=row, station_m=0.0, value=beyond), none)


ALIKE = math.nextafter(1.5, 0)  # what arithmetic leaves of 1.5


@pytest.mark.parametrize(
    ("values", "least", "most"),
    [
        ([2.0, 1.5, 1.4, 1.6], 2, 0),
        ([1.5, ALIKE, 2.0], 0, 2),
        ([1.6, 1.5, ALIKE], 1, 0),
        ([1.5, 1.4999], 1, 0),
        ([0.0, 0.0], 0, 0),
        ([math.inf, math.inf], 0, 0),
        ([math.inf, 3.0], 1, 0),
        ([-math.inf, 3.0], 0, 1),
    ],
)
def test_governs_is_the_worst_and_of_equal_ones_the_first(
    values: list[float], least: int, most: int
) -> None:
    """Alike sections differ in what arithmetic leaves: that does not choose among them."""
    figures = [(value, float(station)) for station, value in enumerate(values)]
    assert governs(LEAST, figures) == least
    assert governs(MOST, figures) == most


def test_worst_goes_by_the_station() -> None:
    """The first along the wall, in whatever order they come."""
    later, first = (
        Finding(check=LEAST, station_m=at, value=v) for at, v in ((9.0, ALIKE), (3.0, 1.5))
    )
    assert worst([later, first]) is first
    assert worst([first, later]) is first
    assert worst([later]) is later


def test_what_cannot_stand_has_the_worst_figure() -> None:
    """Nothing of a resistance, or a load beyond any base."""
    assert (LEAST.worst_value, MOST.worst_value) == (0.0, math.inf)


def test_pointers_name_the_wall_or_the_job() -> None:
    """What is the wall's own lies in it; soils are the job's."""
    assert LEAST.pointers(2) == (
        "/walls/2/surcharge",
        "/walls/2/back_slope",
        "/walls/2/profile/back_grade",
        "/soils/foundation",
    )
