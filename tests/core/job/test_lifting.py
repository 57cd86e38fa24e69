"""The lifting equation: where each multiplier starts and ends, and what its index says."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.job.lifting import METRIC, US, Lift, lifting_index, multipliers, weight_limit_kg
from tests.given.statics import deg
from tests.given.walls import inch

POUND = 0.45359237
BEST = Lift(reach_m=inch(10), hands_m=inch(30), travel_m=inch(10))
BEST_METRIC = Lift(reach_m=0.25, hands_m=0.75, travel_m=0.25)


def test_weight_limit_of_the_best_lift_is_the_whole_load() -> None:
    """Near, at knuckle height, a short way: 51 lb, or 23 kg; nearer or shorter adds nothing."""
    assert weight_limit_kg(BEST, US) == pytest.approx(51 * POUND)
    assert weight_limit_kg(BEST_METRIC, METRIC) == pytest.approx(23.0)
    nearer = replace(BEST, reach_m=inch(4), travel_m=0.0)
    assert weight_limit_kg(nearer, US) == pytest.approx(51 * POUND)


@pytest.mark.parametrize(
    ("edge", "beyond"),
    [
        (replace(BEST, reach_m=inch(25)), replace(BEST, reach_m=inch(25.1))),
        (replace(BEST, hands_m=inch(70)), replace(BEST, hands_m=inch(70.1))),
        (replace(BEST, travel_m=inch(70)), replace(BEST, travel_m=inch(70.1))),
        (replace(BEST, twist_rad=deg(135)), replace(BEST, twist_rad=deg(136))),
    ],
)
def test_weight_limit_ends_beyond_each_limit(edge: Lift, beyond: Lift) -> None:
    """At the last inch or degree something may still be lifted, beyond it nothing."""
    assert weight_limit_kg(edge, US) > 0
    assert weight_limit_kg(beyond, US) == 0.0
    assert lifting_index(1.0, weight_limit_kg(beyond, US)) == math.inf


def test_multipliers_of_the_metric_limits_are_the_manuals() -> None:
    """63 cm, 175 cm, 175 cm: 25/63, 1 - 0.3, 0.82 + 4.5/175."""
    found = multipliers(Lift(reach_m=0.63, hands_m=1.75, travel_m=1.75), METRIC)
    assert (found.reach, found.hands, found.travel) == pytest.approx((25 / 63, 0.7, 0.845714))
    assert found.product == pytest.approx(25 / 63 * 0.7 * 0.845714, rel=1e-6)


def test_multipliers_take_frequency_and_coupling_as_given() -> None:
    """They come from tables outside the equation: 0.5 and 0.9 leave 0.45 of the load."""
    lift = replace(BEST, frequency=0.5, coupling=0.9)
    assert weight_limit_kg(lift, US) == pytest.approx(0.45 * 51 * POUND)


def test_lifting_index_goes_by_limits_of_less_than_a_kilogram() -> None:
    """Where 0.5 kg is the most, 1 kg is twice as much."""
    assert lifting_index(1.0, 0.5) == 2.0


def test_trap_39_a_heavy_unit_is_no_lift_for_one() -> None:
    """82 lb from 8 in up: the index is 4.2; by the best lift's limit it would pass for 1.6."""
    lift = Lift(
        reach_m=inch(15),
        hands_m=inch(8),
        travel_m=inch(22),
        twist_rad=deg(30),
        frequency=0.94,
        coupling=0.90,
    )
    index = lifting_index(82 * POUND, weight_limit_kg(lift, US))
    assert index == pytest.approx(4.2, abs=0.05)
    assert lifting_index(82 * POUND, weight_limit_kg(BEST, US)) == pytest.approx(1.6, abs=0.01)
