"""Man-days of the army's worked examples, through crews and half days.

Source: Seabee planner's and estimator's handbook, NAVFAC P-405, October 1996, as worked in
NAVEDTRA 14045 (references seen there): 448 ft2 of mortared block at 160 man-hours per 1,000 ft2 are
71.68 man-hours, nine eight-hour days of one man; 16,000 ft2 of drywall at 33 man-hours per
1,000 ft2 are 66 man-days. Looked up, recomputed exactly. Mortared block is no rate for dry-stacked
units; the arithmetic is the same.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from statistics import NormalDist

import pytest

from service.core.three_point import low_and_high
from tests.given.money import crew, rates, scheduled, task
from tests.given.walls import ft


def days(area_ft2: float, hours_per_ft2: str) -> tuple[Decimal, Decimal]:
    """Hours and days of one man who works eight hours a day, all of them."""
    laying = task(by="face_area", hours=hours_per_ft2, unit="ft2")
    area_m2 = area_ft2 * ft(1) ** 2
    found = scheduled(rates(laying, crews=(crew(size=1),)), {"face_area": (("wall-1", area_m2),)})
    return found.labor_hours, found.crew_days


@pytest.mark.parametrize(
    ("area", "rate", "hours", "man_days"),
    [(448, "0.16", "71.68", "9"), (16_000, "0.033", "528", "66")],
    ids=["block", "drywall"],
)
def test_schedule_gives_the_man_days_of_the_handbook(
    area: float, rate: str, hours: str, man_days: str
) -> None:
    """71.68 man-hours are 8.96 days, nine begun; 528 man-hours are 66 days."""
    found = days(area, rate)
    assert found == (Decimal(hours), Decimal(man_days))


def test_low_and_high_are_points_of_the_normal_distribution() -> None:
    """Expected 40, deviation 5 (course notes): one case of five lies below the low figure and one
    above the high one, as a statistics library has them."""
    low, high = low_and_high(Fraction(40), Fraction(25))
    path = NormalDist(40, 5)
    assert path.cdf(float(low)) == pytest.approx(0.2, abs=5e-5)
    assert path.cdf(float(high)) == pytest.approx(0.8, abs=5e-5)
