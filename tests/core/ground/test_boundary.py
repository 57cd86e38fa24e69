"""Boundaries of surveyed areas: which corners make a ring, and its area."""

from __future__ import annotations

from fractions import Fraction

import pytest

from service.core.errors import Fault, QuoteFaultsError
from service.core.ground.boundary import lay_out_boundary, ring_area_m2
from tests.given.graded import places, star

AT = ("survey", "boundary")


def fault_of(*corners: tuple[float, float]) -> Fault:
    """The one fault of a boundary."""
    with pytest.raises(QuoteFaultsError) as caught:
        lay_out_boundary(places(*corners), {}, AT)
    (fault,) = caught.value.faults
    return fault


def test_ring_area_m2_loses_no_digit_far_from_the_origin() -> None:
    """A star about 600 km east and 4,500 km north has the area that exact ratios give it."""
    ring = [(609_600.0 + x, 4_500_000.0 + y) for x, y in star(14, 9.0)]
    exact = [(Fraction(x), Fraction(y)) for x, y in ring]
    twice = sum(a * d - b * c for (a, b), (c, d) in zip(exact, exact[1:] + exact[:1], strict=True))
    assert ring_area_m2(ring) == pytest.approx(float(twice / 2), rel=1e-13)


@pytest.mark.parametrize("corners", [[(3.0, 4.0)], [(3.0, 4.0), (3.0, 4.0)]])
def test_lay_out_boundary_counts_a_place_once(corners: list[tuple[float, float]]) -> None:
    """One place, alone or given again to close the ring, is one corner."""
    fault = fault_of(*corners)
    assert fault.code == "boundary-too-few-corners"
    assert "the boundary has 1 corners, it needs at least 3" in fault.message


def test_lay_out_boundary_names_the_sides_that_meet() -> None:
    """Of six sides only the second and the fifth cross, at easting 10 and northing 5."""
    fault = fault_of((0, 0), (10, 0), (10, 10), (12, 10), (12, 5), (2, 5))
    assert (fault.code, fault.at) == ("boundary-crosses-itself", (*AT, 1))
    assert "from corner 2 to 3 meets the side from corner 5 to 6" in fault.message


def test_lay_out_boundary_names_the_side_back_to_the_first_corner() -> None:
    """The last of five sides runs from (4, 8) to (0, 0) and meets the third, at northing 4."""
    fault = fault_of((0, 0), (9, 0), (9, 4), (1, 4), (4, 8))
    assert fault.at == (*AT, 2)
    assert "from corner 3 to 4 meets the side from corner 5 to 1" in fault.message


@pytest.mark.parametrize("off", [0.0, 1e-11])
def test_lay_out_boundary_refuses_a_ring_without_room(off: float) -> None:
    """20 m out and back, all in one line or 1e-11 m beside it: 1e-10 m2 are no area."""
    fault = fault_of((0, 0), (20, 0), (10, off))
    assert (fault.code, fault.at) == ("boundary-crosses-itself", (*AT, 0))
    assert "turns back on itself" in fault.message


def test_lay_out_boundary_takes_a_ring_of_corners_that_lie_apart() -> None:
    """A square of 0.05 mm: its corners lie twice as far apart as those that are one place."""
    side = 0.05e-3
    square = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
    assert lay_out_boundary(places(*square), {}, AT) == square
