"""Triangles between survey points: what they cover, and the pieces inside a boundary."""

from __future__ import annotations

import pytest

from service.core.errors import QuoteFaultsError
from service.core.ground.surface import pieces_of, triangulate
from tests.given.graded import SQUARE

AT = ("survey", "boundary")
Places = list[tuple[float, float]]


def level(
    places: Places | tuple[tuple[float, float], ...],
) -> list[tuple[tuple[float, float], float]]:
    """Places, each 1 m over the finished ground."""
    return [(place, 1.0) for place in places]


def rectangle(length: float, width: float) -> Places:
    """Its corners, from the origin counter-clockwise."""
    return [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]


def test_triangulate_lets_a_thousandth_be_uncovered() -> None:
    """Points over 999 of 1000 m2 are enough; over 998.75 m2 they are not."""
    boundary = rectangle(1000.0, 1.0)
    assert triangulate(level(rectangle(999.0, 1.0)), boundary, AT).covered_m2 == 999.0
    with pytest.raises(QuoteFaultsError, match=r"cover 99\.9 % of the area"):
        triangulate(level(rectangle(998.75, 1.0)), boundary, AT)


def test_triangulate_names_each_corner_outside_with_the_share() -> None:
    """20 x 20 m of points reach 0.5 x 1 m into a boundary of 20 x 21 m: 0.5 / 420 is 0.119 %. All
    corners but the first lie outside, the last one too."""
    boundary = [(19.5, 19.0), (39.5, 19.0), (39.5, 40.0), (19.5, 40.0)]
    with pytest.raises(QuoteFaultsError) as caught:
        triangulate(level(SQUARE), boundary, AT)
    assert [fault.at for fault in caught.value.faults] == [(*AT, 1), (*AT, 2), (*AT, 3)]
    for fault in caught.value.faults:
        assert fault.code == "boundary-not-covered"
        assert "which cover 0.119 % of the area" in fault.message


def test_pieces_of_are_what_the_boundary_leaves_of_triangles() -> None:
    """Of one triangle a square of 5 m: four corners, measured from the survey's least easting and
    northing on, at the depths of a plane that rises 0.1 by easting and 0.2 by northing."""
    points = [((3000.0, 1000.0), 1.0), ((3020.0, 1000.0), 3.0), ((3000.0, 1020.0), 5.0)]
    boundary = [(3000.0, 1000.0), (3005.0, 1000.0), (3005.0, 1005.0), (3000.0, 1005.0)]
    (piece,) = pieces_of(points, boundary)
    found = dict(zip(piece.corners, piece.depths_m, strict=True))
    assert len(piece.corners) == 4
    assert found == pytest.approx({(0, 0): 1.0, (5, 0): 1.5, (5, 5): 2.5, (0, 5): 2.0})


@pytest.mark.parametrize(("off_m", "pieces"), [(8e-9, 3), (1.2e-8, 4)])
def test_pieces_of_leaves_out_what_is_narrower_than_rounding(off_m: float, pieces: int) -> None:
    """A point 1 m along the southern edge of a square and 8e-9 m off it makes three triangles
    with the other corners; the fourth, with the edge, is noise. At 1.2e-8 m it counts."""
    found = pieces_of(level((*SQUARE, (1.0, off_m))), SQUARE)
    assert len(list(found)) == pieces
