"""Layers of reinforcement: shares, tension, anchorage, and the traps of their length.

The traps take tests/reference/reinforced_soil.toml: layers.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.screening.formulas.earth_pressure import failure_plane_rad
from service.core.screening.formulas.layer_statics import (
    Tributary,
    anchorage_m,
    connection_n_m,
    fhwa_plane_distance_m,
    fhwa_pullout_n_m,
    fhwa_tension_n_m,
    overburden_m,
    plane_distance_m,
    pullout_n_m,
    shortest_length_m,
    tributaries,
)
from tests.given.statics import deg, stack, wall_friction
from tests.given.walls import ft, to_ft

LEAN = stack(12, setback_in=1).batter_rad
PLANE = failure_plane_rad(deg(30), wall_friction(30), LEAN, 0.0)
places = st.lists(st.floats(0.05, 0.95), min_size=1, max_size=12, unique=True).map(sorted)


@given(places, st.floats(0.8, 6))
def test_tributaries_together_are_the_wall(shares: list[float], height: float) -> None:
    """However unevenly layers are spaced, each height is carried once, from the pad to the top."""
    found = tributaries([share * height for share in shares], height)
    assert math.fsum(each.height_m for each in found) == pytest.approx(height, rel=1e-9)
    tops = [height - each.middle_depth_m + each.height_m / 2 for each in found]
    feet = [height - each.middle_depth_m - each.height_m / 2 for each in found]
    assert [0.0, *tops] == pytest.approx([*feet, height], abs=1e-9)


def test_tributaries_go_from_middle_to_middle() -> None:
    """Layers at 1, 2 and 5 of 6 m: 0 to 1.5 to 3.5 to 6; their middles lie 5.25, 3.5, 1.25 deep."""
    found = tributaries((1, 2, 5), 6)
    assert [each.height_m for each in found] == pytest.approx([1.5, 2.0, 2.5])
    assert [each.middle_depth_m for each in found] == pytest.approx([5.25, 3.5, 1.25])


def test_tributaries_of_no_layers_are_none() -> None:
    """Nothing to carry, no share; one layer alone carries all."""
    assert tributaries((), 6) == ()
    assert tributaries((2.0,), 6) == (Tributary(height_m=6.0, middle_depth_m=3.0),)


def test_fhwa_tension_is_pressure_times_share() -> None:
    """Coefficient 0.25, 40 kPa above, 0.6 m apart: 6 kN/m."""
    assert fhwa_tension_n_m(0.25, 40_000, 0.6) == pytest.approx(6_000)


def test_overburden_follows_the_slope_over_the_anchored_part() -> None:
    """2 m of cover, 1 in 2 behind: from 1 to 3 m the mean rise is 1 m, from 2 to 4 m 1.5 m; from -1
    to 3 m the first metre is level, so 3²/2 x 0.5 / 4 = 0.5625 m; before the slope there is none.
    """
    slope = math.atan(0.5)
    assert overburden_m(2, 1, 3, slope) == pytest.approx(3.0)
    assert overburden_m(2, 2, 4, slope) == pytest.approx(3.5)
    assert overburden_m(2, -1, 3, slope) == pytest.approx(2.5625)
    assert overburden_m(2, -3, -1, slope) == pytest.approx(2.0)
    assert overburden_m(2, 1, 3, 0.0) == pytest.approx(2.0)


def test_overburden_without_an_anchored_part_is_that_of_its_end() -> None:
    """A layer that ends at the plane has the depth of that place, not a division by 0."""
    slope = math.atan(0.5)
    assert overburden_m(2, 3, 3, slope) == pytest.approx(3.5)
    assert overburden_m(2, -1, -1, slope) == pytest.approx(2.0)


def test_pullout_of_a_layer_short_of_the_plane_is_none() -> None:
    """1 m from the face ends 0.2 m before a plane 0.9 m behind units of 0.3 m: nothing holds it."""
    assert anchorage_m(2.0, 0.3, 0.9) == pytest.approx(0.8)
    short = anchorage_m(1.0, 0.3, 0.9)
    assert short == pytest.approx(-0.2)
    assert pullout_n_m(2.0, 18_000, short, 0.7, deg(30)) == 0.0
    assert fhwa_pullout_n_m(0.5, 0.8, 36_000, short) == 0.0


def test_pullout_has_two_faces() -> None:
    """2 m of 18 kN/m3 on 1 m at 45 deg: 36 kN/m on each face, 0.7 of it by the association;
    F* 0.5 and scale 0.8 by FHWA."""
    assert pullout_n_m(2.0, 18_000, 1.0, 0.7, deg(45)) == pytest.approx(2 * 0.7 * 36_000)
    assert fhwa_pullout_n_m(0.5, 0.8, 36_000, 1.0) == pytest.approx(28_800)


def test_connection_ends_at_the_most_that_was_tested() -> None:
    """5 + 10 x tan 45 = 15 kN/m, 12 at most; 10 at a friction of 1 in 2."""
    assert connection_n_m(5_000, deg(45), None, 10_000) == pytest.approx(15_000)
    assert connection_n_m(5_000, math.atan(0.5), None, 10_000) == pytest.approx(10_000)
    assert connection_n_m(5_000, deg(45), 12_000, 10_000) == pytest.approx(12_000)


def test_failure_planes_start_where_each_basis_says() -> None:
    """At the toe's level both planes are 0 away; 3 m up FHWA's is 3 x tan 30 = 1.732 m from the
    face, the association's less by the lean of the back."""
    assert plane_distance_m(0.0, PLANE, LEAN) == 0.0
    assert fhwa_plane_distance_m(3.0, deg(30)) == pytest.approx(math.sqrt(3))
    upright = plane_distance_m(3.0, PLANE, 0.0)
    assert upright - plane_distance_m(3.0, PLANE, LEAN) == pytest.approx(3 / 8)


def test_trap_7_length_counts_from_the_face_of_the_units() -> None:
    """Those layers: 7 ft leave 5.586 ft beyond the lowest plane, not 6.586 as from their back."""
    distance = plane_distance_m(ft(2 / 3), PLANE, LEAN)
    assert to_ft(anchorage_m(ft(7), ft(1), distance)) == pytest.approx(5.586, abs=0.001)
    assert to_ft(shortest_length_m(ft(1), ft(1), distance)) == pytest.approx(2.414, abs=0.001)


def test_trap_8_the_top_layer_sets_the_length() -> None:
    """Those layers: 0.6 of 8 ft is 4.8 ft; 1 ft of anchorage takes 6.55 at the top layer."""
    elevations = [ft(2 / 3 + 4 / 3 * index) for index in range(6)]
    needed = [
        shortest_length_m(ft(1), ft(1), plane_distance_m(elevation, PLANE, LEAN))
        for elevation in elevations
    ]
    assert to_ft(max(needed)) == pytest.approx(6.552, abs=0.001)
    assert [to_ft(length) > 0.6 * 8 for length in needed] == [False, False, False, True, True, True]
