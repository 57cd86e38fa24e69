"""Mitres of corners beside curves: at which offset one stands at a station, in closed form.

An arc of 20 ft radius and 45 deg arrives at a right outside corner heading east, its center 240 in
to the north; a straight goes north. Moved by x, the straight is the line -x and the circle has the
radius 240 - x: they meet 240 - sqrt((240 - x)^2 - x^2) north of the corner, at an angle of
asin(x / (240 - x)) before the foot of the circle.
"""

from __future__ import annotations

import math

import pytest

from service.core.ground.moved_leg import legs
from service.core.layout import plan
from tests.given.walls import corner, curve, ft, inch, straight

PLAN = plan.measure((curve("outside", ft(20), 45), corner("outside"), straight(ft(10))))
AT = inch(240) * math.pi / 4


@pytest.mark.parametrize("away_in", [1.0, 12.0, 36.0, 60.0])
def test_bound_stands_where_the_mitre_of_a_curve_crosses_a_station(away_in: float) -> None:
    """So far from the corner both mitres stand at the offset that the closed form gives, ahead of
    the corner and past it."""
    before, after = (leg.mitres[0] for leg in legs(PLAN))
    # on the arc: away / 240 = asin(x / (240 - x))
    sine = math.sin(away_in / 240)
    assert before.bound_m(AT - inch(away_in)) == pytest.approx(inch(240 * sine / (1 + sine)))
    # on the straight: (240 - away)^2 = (240 - x)^2 - x^2
    rest = (240**2 - (240 - away_in) ** 2) / 480
    assert after.bound_m(AT + inch(away_in)) == pytest.approx(inch(rest))


def test_an_arc_is_used_up_at_its_center() -> None:
    """Moved by its radius an arc has no length left: all of it is taken."""
    before = legs(PLAN)[0].mitres[0]
    assert before.taken_m(ft(20)) == pytest.approx(AT)
