"""Setting rates by the weight of the unit."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.catalog import read_catalog
from service.catalog.schemas import shipped_folder
from service.core.job.measured import Measured
from service.core.job.rates import WeightRate
from service.core.job.wall_system import WallSystem, WallUnit
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import TaskHours
from service.core.labor.unit_rates import UnitWeights, rate_by_weight, unit_weights
from service.core.measure import US
from service.core.three_point import ThreePoint, one_figure
from tests.given.machines import LB
from tests.given.money import quantities, rates, task
from tests.given.scheduled import schedule
from tests.given.walls import ft

ROWS = (
    WeightRate(up_to_kg=35 * LB, hours_per_unit=one_figure(Decimal("0.1"))),
    WeightRate(up_to_kg=60 * LB, hours_per_unit=one_figure(Decimal("0.2"))),
)
OPEN = WeightRate(up_to_kg=None, hours_per_unit=one_figure(Decimal("0.4")))


def set_100(
    weights: UnitWeights, rows: tuple[WeightRate, ...] = ROWS, by: Measured = "standard_units"
) -> TaskHours:
    """100 units, at 0.3 h where no row holds."""
    setting = replace(task(by=by, hours="0.3"), by_weight=rows)
    taken = quantities(measured={by: (("wall-1", 100.0),)})
    (found,) = schedule(rates(setting), {}, taken, US, limits=SiteLimits(weights=weights)).tasks
    return found


@pytest.mark.parametrize(
    ("pounds", "hours", "words"),
    [
        (1, "10", "a unit weighs 1 lb: the rate up to 35 lb"),
        (35, "10", "a unit weighs 35 lb: the rate up to 35 lb"),
        (35.01, "20", "a unit weighs 35.01 lb: the rate up to 60 lb"),
        (60, "20", "a unit weighs 60 lb: the rate up to 60 lb"),
        (60.01, "30", "a unit weighs 60.01 lb: the rate of heavier ones"),
    ],
)
@pytest.mark.parametrize("by", ["standard_units", "corner_units", "cap_units"])
def test_schedule_sets_units_at_the_rate_of_their_weight(
    by: Measured, pounds: float, hours: str, words: str
) -> None:
    """Each kind of unit goes by its own weight, at both sides of each limit."""
    found = set_100({"all_units": 1.0, by: pounds * LB}, by=by)
    assert found.hours == Decimal(hours)
    assert words in found.how


def test_schedule_sets_units_of_unknown_weight_at_the_rate_of_the_task() -> None:
    """100 at 0.3 h, and nothing is said about a weight."""
    found = set_100({})
    assert found.hours == Decimal(30)
    assert not any("weighs" in words for words in found.how)


def test_schedule_takes_an_open_row_for_all_that_is_heavier() -> None:
    """A last row without a weight holds in place of the task's own hours."""
    found = set_100({"standard_units": 61 * LB}, (*ROWS, OPEN))
    assert found.hours == Decimal(40)
    assert "a unit weighs 61 lb: the rate of the heaviest" in found.how


def test_unit_weights_go_by_kind() -> None:
    """Corners without a corner unit are cut from standard units; a cap may lack a weight."""
    standard = WallUnit(
        item="block", face_length_m=ft(1), height_m=ft(0.5), depth_m=ft(1), weight_kg=30
    )
    corner = replace(standard, item="corner", weight_kg=20)
    plain = WallSystem(id="w", version="1", title="W", standard=standard, setback_m=0.0)
    counts = {"standard_units": 30, "base_course_units": 30, "corner_units": 30}
    assert unit_weights(plain) == counts
    whole = replace(plain, corner=corner, cap=replace(standard, weight_kg=10))
    assert unit_weights(whole) == {**counts, "corner_units": 20, "cap_units": 10}
    assert unit_weights(replace(plain, cap=replace(standard, weight_kg=None))) == counts


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("pounds", "expected"),
    [
        (35, "0.035 0.045 0.07"),
        (36, "0.05 0.065 0.1"),
        (60, "0.05 0.065 0.1"),
        (61, "0.07 0.095 0.15"),
        (100, "0.07 0.095 0.15"),
        (101, "0.12 0.16 0.26"),
    ],
)
def test_the_shipped_rates_set_heavier_units_slower(pounds: float, expected: str) -> None:
    """Common practice in shape: 35, 60 and 100 lb are the limits, two people lift above."""
    of = read_catalog([shipped_folder()]).production_rates["small_crew"].core
    (setting,) = (task for task in of.tasks if task.id == "set_units")
    found, _ = rate_by_weight(setting, {"standard_units": pounds * LB}, US)
    low, likely, high = (one_figure(Decimal(figure)).likely for figure in expected.split())
    assert found == ThreePoint(low=low, likely=likely, high=high)
