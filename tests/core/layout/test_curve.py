"""Curves from any two of radius, angle, length, chord and rise."""

import math
from itertools import combinations

import pytest

from service.core.layout.curve import KNOWN, CurveImpossibleError, curve_from

# An arc of radius 15 ft with chord 18 ft and rise 3 ft: sin(angle/2) = 9/15, so that
# angle = 2·asin(0.6) = 73.7398 deg; length = 15·1.2870022 = 19.305 ft (worked by hand).
ARC = {"radius": 15.0, "angle": 2 * math.asin(0.6), "chord": 18.0, "rise": 3.0}
ARC["length"] = ARC["radius"] * ARC["angle"]


@pytest.mark.parametrize("pair", list(combinations(KNOWN, 2)), ids="+".join)
def test_curve_from_any_two_figures_is_the_same_arc(pair: tuple[str, str]) -> None:
    """Every pair of figures of one arc gives that arc."""
    curve = curve_from("outside", {name: ARC[name] for name in pair})
    assert curve.radius_m == pytest.approx(15.0, rel=1e-9)
    assert math.degrees(curve.angle_rad) == pytest.approx(73.7398, abs=5e-5)
    assert curve.length_m == pytest.approx(19.305, abs=5e-4)


@pytest.mark.parametrize(
    ("known", "reason"),
    [
        ({"radius": 5.0, "chord": 10.1}, "chord is longer"),
        ({"radius": 5.0, "rise": 10.0}, "rise is not less"),
        ({"length": 5.0, "chord": 5.0}, "chord is not shorter"),
        ({"length": 10.0, "rise": 3.7}, "rise is too large"),
        ({"radius": 1.0, "length": 7.0}, "full circle"),
    ],
)
def test_curve_from_refuses_figures_that_no_arc_has(known: dict[str, float], reason: str) -> None:
    """Two figures that can't belong to one arc are refused with the reason."""
    with pytest.raises(CurveImpossibleError, match=reason):
        curve_from("inside", known)


def test_curve_from_radius_and_chord_means_the_flatter_arc() -> None:
    """Radius and chord fit two arcs; the one of less than half a circle is meant."""
    curve = curve_from("outside", {"radius": 1.0, "chord": math.sqrt(2)})
    assert curve.angle_rad == pytest.approx(math.pi / 2)


def test_curve_from_takes_a_chord_of_twice_the_radius() -> None:
    """The longest chord of a circle is that of half of it."""
    curve = curve_from("outside", {"radius": 5.0, "chord": 10.0})
    assert curve.angle_rad == pytest.approx(math.pi)
