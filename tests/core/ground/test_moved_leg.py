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


def test_bound_stands_near_the_beginning_of_the_arc_too() -> None:
    """8.5 in from where the arc begins: 180 of its 188.5 in are taken."""
    before = legs(PLAN)[0].mitres[0]
    sine = math.sin(180 / 240)
    assert before.bound_m(AT - inch(180)) == pytest.approx(inch(240 * sine / (1 + sine)))


def test_bound_is_as_far_as_anything_lies_where_the_mitre_never_comes() -> None:
    """Against its center an arc of 80 deg grows: moved by x the straight crosses it at an angle of
    asin(x / (240 + x)), 70.5 deg at 100 m. 79 deg from the corner nothing is taken."""
    parts = (curve("inside", ft(20), 80), corner("outside"), straight(ft(10)))
    before = legs(plan.measure(parts))[0].mitres[0]
    end = inch(240) * math.radians(80)
    far = 100 / 0.0254
    angle = math.asin(far / (240 + far))
    assert before.taken_m(100.0) == pytest.approx(inch(240 * angle))
    assert before.bound_m(end - inch(240) * math.radians(79)) == 100.0


def test_a_mitre_takes_from_the_part_beside_its_corner_first() -> None:
    """Half a foot behind a corner of 90 deg half a foot is taken of the straight foot before it,
    and nothing of the arc before that."""
    parts = (curve("outside", ft(20), 45), straight(ft(1)), corner("outside"), straight(ft(10)))
    before = legs(plan.measure(parts))[0].mitres[0]
    assert before.taken_m(ft(0.5)) == pytest.approx(ft(0.5))


def test_an_arc_is_used_up_at_its_center() -> None:
    """Moved by its radius an arc has no length left: all of it is taken."""
    before = legs(PLAN)[0].mitres[0]
    assert before.taken_m(ft(20)) == pytest.approx(AT)


def test_an_arc_past_a_corner_is_used_up_at_its_center() -> None:
    """So is one that begins 10 ft down the plan: what is taken is its own length."""
    turned = plan.measure((straight(ft(10)), corner("outside"), curve("outside", ft(20), 45)))
    assert legs(turned)[1].mitres[0].taken_m(ft(20)) == pytest.approx(AT)


@pytest.mark.parametrize("away_ft", [0.7, 2.3, 4.1])
def test_bound_between_straights_is_told_without_a_search(away_ft: float) -> None:
    """Straights meet beside the corner, though a curve follows: the mitre of a turn of 50 deg
    stands at the distance over the tangent of 25 deg, to the last digit."""
    parts = (straight(ft(20)), corner("outside", 50), straight(ft(10)), curve("inside", ft(20), 30))
    before = legs(plan.measure(parts))[0].mitres[0]
    at = ft(20) - ft(away_ft)
    assert before.bound_m(at) == abs(at - ft(20)) / math.tan(math.radians(50) / 2)


# 3 ft between an outside corner of 90 deg, 12 ft down the plan, and an inside one of 60 deg: moved
# by x in front the leg gains |x| at the first and loses |x| tan 30 at the second
SHORT_LEG = legs(
    plan.measure(
        (
            straight(ft(12)),
            corner("outside"),
            straight(ft(3)),
            corner("inside", 60),
            straight(ft(9)),
        )
    )
)[1]


@pytest.mark.parametrize(
    ("in_front_ft", "run_on_ft"), [(4.0, 4.0), (8.0, 8 - (8 / math.sqrt(3) - 3)), (-2.0, 0.0)]
)
def test_a_leg_runs_on_past_its_corner_by_what_the_other_leaves(
    in_front_ft: float, run_on_ft: float
) -> None:
    """4 ft in front the second corner takes 2.31 of 3 ft, and all that is gained runs on; 8 ft in
    front it takes 4.62 ft, 1.62 of them from what runs on. Behind nothing does."""
    first = SHORT_LEG.mitres[0]
    assert SHORT_LEG.run_on_m(first, -ft(in_front_ft)) == pytest.approx(ft(run_on_ft))


def test_a_leg_is_used_up_where_the_other_mitre_comes_to_the_corner() -> None:
    """3 ft / tan 30 in front for the first corner, 3 ft behind for the second; a leg with one
    corner is used up nowhere."""
    first, second = SHORT_LEG.mitres
    assert SHORT_LEG.used_up_m(first) == pytest.approx(-ft(3 * math.sqrt(3)))
    assert SHORT_LEG.used_up_m(second) == pytest.approx(ft(3))
    last = legs(PLAN)[1]
    assert last.used_up_m(last.mitres[0]) == 0.0
