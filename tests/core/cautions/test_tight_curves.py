"""Curves tighter than a system allows: which courses stand along them."""

from __future__ import annotations

from service.core.cautions.facts import wall_facts
from service.core.job.fact import Fact
from service.core.measure import US
from tests.given.set_walls import jumping
from tests.given.walls import after, curve, ft, inch, laid, section, straight, system


def test_outside_curve_is_as_tight_as_its_own_highest_course() -> None:
    """Tops of 4 and 2 ft along an outside curve of 20 ft stand between tops of 6 ft. The base lies
    12 in down: under caps of 4 in seven courses of 8 in reach the 4 ft, the highest set back 6 in;
    ten reach the 6 ft, but those only touch the curve. That 2 and 11 ft of plan are, by the last
    digit, less than 13 ft changes nothing. A minimum of 19.5 ft is met."""
    assert ft(2) + ft(11) < ft(13)
    plan = (straight(ft(2)), straight(ft(11)), curve("outside", ft(20), 30), straight(ft(10)))
    spec = jumping(plan, (0.0, 6, 0), (ft(13), 4, 0), (ft(18), 2, 0), (after(3), 6, 0))
    tight, enough = (
        wall_facts(laid(spec, system(minimum_outside_radius=ft(least))), section(), US)
        for least in (20, 19.5)
    )
    words = "Outside radius 19.5 ft at the top course, minimum 20 ft."
    assert tight["radius_below_minimum"] == Fact(value=1.0, words=words)
    assert "radius_below_minimum" not in enough


def test_inside_curve_is_as_tight_as_its_own_lowest_course() -> None:
    """Ground at -1 and 0 ft along an inside curve of 238 in lies between ground at -2 ft. In
    courses of 8 in from 68 in down, 6 in or more under the ground, the bases lie at -20, -12 and
    -36 in: the lowest one along the curve is two courses up and 2 in back, at 240 in."""
    plan = (straight(ft(13)), curve("inside", inch(238), 30), straight(ft(10)))
    spec = jumping(plan, (0.0, 6, -2), (after(1), 6, -1), (ft(18), 6, 0), (after(2), 6, -2))
    fact = wall_facts(laid(spec, system(minimum_inside_radius=ft(21))), section(), US)
    words = "Inside radius 20 ft at the base course, minimum 21 ft."
    assert fact["radius_below_minimum"].words == words


def test_curve_of_no_length_is_no_tight_one() -> None:
    """Nothing is laid along a curve that is shorter than any length that counts."""
    plan = (straight(ft(13)), curve("outside", 1e-11, 1e-7), straight(ft(10)))
    spec = jumping(plan, (0.0, 6, 0), (ft(13), 4, 0))
    facts = wall_facts(laid(spec, system(minimum_outside_radius=ft(20))), section(), US)
    assert "radius_below_minimum" not in facts
