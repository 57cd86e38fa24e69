"""Areas between lines, by hand: where lines bend and meet, which pieces an area comes to."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from service.core.ground.region import (
    GroundShortError,
    Line,
    Polyline,
    Region,
    clipped,
    meeting,
    moment,
    moments,
    weighted,
)

# 5, 7, 4, 4 at offsets -2, 1, 4, 10
BENT = Polyline((-2.0, 1.0, 4.0, 10.0), (5.0, 7.0, 4.0, 4.0))
THREE_PIECES = [(1.0, 2.0, 3.0, 4.0), (3.0, 0.5, 7.0, 0.25), (7.0, 3.0, 8.0, 0.0)]


def area_m2(region: Region) -> float:
    """What the pieces come to."""
    return moments(region.trapezoids)[0]


def test_line_rises_by_its_slope_from_its_point() -> None:
    """3 m high at an offset of 2, half as much up as along; a line bends nowhere."""
    line = Line(2.0, 3.0, 0.5)
    assert (line.at(2.0), line.at(5.0), line.at(-2.0)) == (3.0, 4.5, 1.0)
    assert line.lowered(0.75) == Line(2.0, 2.25, 0.5)
    assert line.knots(-9.0, 9.0) == ()


@pytest.mark.parametrize(
    ("x", "z"),
    [(-2, 5), (-0.5, 6), (1, 7), (2, 6), (4, 4), (9, 4), (10, 4), (10 + 2e-5, 4)],
)
def test_polyline_is_straight_between_its_points(x: float, z: float) -> None:
    """Up to both ends, and no farther beyond them than rounding."""
    assert BENT.at(x) == pytest.approx(z)
    assert BENT.lowered(1.5).at(x) == pytest.approx(z - 1.5)


@pytest.mark.parametrize("x", [-2 - 3e-5, 10 + 3e-5])
def test_polyline_has_no_ground_beyond_its_ends(x: float) -> None:
    """3e-5 m is more than rounding."""
    with pytest.raises(GroundShortError) as caught:
        BENT.at(x)
    assert caught.value.offset_m == x


@pytest.mark.parametrize(
    ("from_m", "to_m", "knots"),
    [(-5, 20, BENT.xs_m), (-2, 10, (1.0, 4.0)), (1, 4, ()), (0.9, 4.1, (1.0, 4.0)), (4, 9, ())],
)
def test_polyline_bends_strictly_between_two_offsets(
    from_m: float, to_m: float, knots: tuple[float, ...]
) -> None:
    """At the offsets themselves it bends for others."""
    assert BENT.knots(from_m, to_m) == knots


@pytest.mark.parametrize(
    ("line", "start", "limit", "met"),
    [
        # level ground at 2: from 0 at 3 m it falls by a quarter
        (Line(0, 3, -0.25), 0.0, 9.0, 4.0),
        (Line(0, 3, 0.25), 0.0, -9.0, -4.0),
        (Line(0, 1, 0.2), -1.0, 9.0, 5.0),
        # it has met where it starts, within rounding, over and under the ground
        (Line(1, 2 + 2e-5, 1.0), 1.0, 9.0, 1.0),
        (Line(1, 2 - 2e-5, -1.0), 1.0, 9.0, 1.0),
        # at the limit
        (Line(0, 3, -0.25), 0.0, 4.0, 4.0),
        (Line(0, 3, -0.25), 0.0, 4.0 - 4e-5, 4.0 - 4e-5),
    ],
)
def test_meeting_is_the_first_offset_on_the_ground(
    line: Line, start: float, limit: float, met: float
) -> None:
    """Rays over and under level ground 2 m high."""
    assert meeting(line, Line(0.0, 2.0), start, limit) == pytest.approx(met, rel=1e-12)


@pytest.mark.parametrize(
    ("line", "start", "limit", "met"),
    [
        # 6 all the way: from the middle of the first piece up, past the top at 2, or back
        (Line(0, 6), 3.5, -2.0, 2.0),
        (Line(0, 6), -2.0, 10.0, -0.5),
        (Line(0, 6), 10.0, -2.0, 2.0),
        # it touches the top at 1 from above, and goes on over what lies behind
        (Line(0, 7), -1.5, 9.0, 1.0),
        (Line(0, 7 + 1e-5), -1.5, 9.0, 1.0),
        (Line(0, 7 + 1e-5), 9.0, -1.5, 1.0),
        # from (1, 5) below the top down to 4 - 0.5 at 4, then up over 4 at 5.5
        (Line(1, 3, 0.25), 1.0, 10.0, 5.0),
        # falling as the ground does, 1 m over it, then down to it: 5 at 4, 4 at 5
        (Line(4, 5, -1.0), 1.5, 10.0, 5.0),
    ],
)
def test_meeting_looks_from_bend_to_bend(
    line: Line, start: float, limit: float, met: float
) -> None:
    """Lines over and under ground that rises and falls, toward the soil and away from it."""
    assert meeting(line, BENT, start, limit) == pytest.approx(met, rel=1e-12)


@pytest.mark.parametrize(
    ("line", "ground", "start", "limit"),
    [
        (Line(0, 3, -0.25), Line(0, 2), 0.0, 3.5),
        (Line(1, 2 + 3e-5, 1.0), Line(0, 2), 1.0, 9.0),
        (Line(4, 5, -1.0), BENT, 1.5, 4.5),
    ],
)
def test_meeting_is_nowhere_before_the_limit(
    line: Line, ground: Line | Polyline, start: float, limit: float
) -> None:
    """Half a meter short, off by more than rounding from the start, and half a meter short."""
    assert meeting(line, ground, start, limit) is None


def test_region_between_two_lines_bends_where_either_does() -> None:
    """BENT over a line that bends at 2: from 0 to 5 heights are 19/3 - 1 at 0, 6 at 1, 6 - 1 at 2,
    4 - 2 at 4 and 4 - 2.5 at 5."""
    lower = Polyline((-3.0, 2.0, 8.0), (1.0, 1.0, 4.0))
    region = Region()
    region.add([BENT], [lower], 0.0, 5.0)
    assert region.codes == [-1, 0, 0, 0, 0]
    flat = [each for piece in region.trapezoids for each in piece]
    assert flat == pytest.approx(
        [0, 16 / 3, 1, 6, 1, 6, 2, 5, 2, 5, 4, 2, 4, 2, 5, 1.5],
    )


def test_region_ends_where_two_lines_cross() -> None:
    """BENT lies over 6 from -0.5 to 2: triangles 1 m high on either side of 1."""
    region = Region()
    region.add([BENT], [Line(0.0, 6.0)], -2.0, 9.0)
    flat = [each for piece in region.trapezoids for each in piece]
    assert flat == pytest.approx([-0.5, 0, 1, 1, 1, 1, 2, 0])
    assert region.codes == [-1, 0, 0]
    other = Region()
    other.add([Line(0.0, 6.0)], [BENT], -2.0, 9.0)
    # 1 m high over 1.5 m, then over 2 m, then 2 m high over 5 m
    assert area_m2(other) == pytest.approx(1 * 1.5 / 2 + 2 * 2 / 2 + 2 * 5)


@pytest.mark.parametrize(
    ("uppers", "lowers"),
    [
        ([Line(0, 3), Line(0, 2)], [Line(0, 2.5)]),
        ([Line(0, 3)], [Line(0, 1), Line(0, 4)]),
        ([Line(0, 3)], [Line(0, 3)]),
        ([Line(0, 3), Line(0, 5)], [Line(0, 3)]),
    ],
)
def test_region_is_empty_where_an_upper_lies_under_a_lower(
    uppers: list[Line], lowers: list[Line]
) -> None:
    """Nothing is under all and over all; that somebody asked shows in the codes."""
    region = Region()
    region.add(uppers, lowers, 1.0, 4.0)
    assert (region.trapezoids, region.codes) == ([], [-1])


def test_region_lies_under_each_upper_and_over_each_lower() -> None:
    """Uppers 6 and 2 + x, lowers 1 and x - 3, from 0 to 9: heights 1 at 0, 5 at 4, where the
    uppers cross and the lowers do, and 0 at 9. Codes tell which bound it midway: 2 x 4 lines."""
    region = Region()
    region.add([Line(0, 6), Line(0, 2, 1.0)], [Line(0, 1), Line(0, -3, 1.0)], 0.0, 9.0)
    assert area_m2(region) == pytest.approx((1 + 5) / 2 * 4 + 5 * 5 / 2)
    assert region.codes == [-1, 1 * 4 + 2, 0 * 4 + 3]
    # BENT in place of the second one: 6 up to 2, down to 4 at 4 and on, over 1, from 4 over x - 3
    other = Region()
    other.add([Line(0, 6), BENT], [Line(0, 1), Line(0, -3, 1.0)], 0.0, 9.0)
    assert area_m2(other) == pytest.approx(5 * 2 + (5 + 3) / 2 * 2 + 3 * 3 / 2)
    # it is parted at 1, too, where BENT bends over the 6
    assert other.codes == [-1, 0 * 4 + 2, 0 * 4 + 2, 1 * 4 + 2, 1 * 4 + 3]


def test_lines_that_cross_at_one_offset_part_an_area_once() -> None:
    """Two uppers cross at 1, two lowers too: over 2 ft the height is 4, 5, 4, in two pieces."""
    uppers = Line(1.0, 5.0, 1.0), Line(1.0, 5.0, -1.0)
    lowers = Line(1.0, 0.0, 0.0), Line(1.0, 0.0, -3.0)
    region = Region()
    region.add(uppers, lowers, 0.0, 2.0)
    assert [(a, b) for a, _, b, _ in region.trapezoids] == [(0.0, 1.0), (1.0, 2.0)]
    # over the first half the lower one falls from 3 to 0, under 4 to 5; then 5 to 4 over 0
    assert area_m2(region) == pytest.approx((1 + 5) / 2 + (5 + 4) / 2)


@pytest.mark.parametrize(("width", "count"), [(-1.0, 0), (5e-10, 0), (2e-9, 1)])
@pytest.mark.parametrize(
    "add",
    [
        lambda region, end: region.add([Line(0, 4)], [Line(0, 1)], 3.0, end),
        lambda region, end: region.add([Line(0, 4), Line(0, 5)], [Line(0, 1)], 3.0, end),
        lambda region, end: region.add_block(3.0, 3.0, end),
    ],
    ids=["two lines", "three lines", "block"],
)
def test_region_takes_no_piece_without_width(
    add: Callable[[Region, float], None], width: float, count: int
) -> None:
    """A billionth of a meter, or an end before the start, is none."""
    region = Region()
    add(region, 3.0 + width)
    assert len(region.trapezoids) == count


@pytest.mark.parametrize("uppers", [[Line(0, 4)], [Line(0, 4), Line(0, 5)]])
def test_region_asks_for_no_ground_where_it_has_no_width(uppers: list[Line]) -> None:
    """12 lies beyond the survey, and nothing from 12 to 12. In front of the line, from -1.75 to
    -0.25, 4 m lie 1.5 m long over a floor that was surveyed from -2 to -0.25."""
    region = Region()
    region.add(uppers, [BENT], 12.0, 12.0)
    assert region.trapezoids == []
    region.add(uppers, [Polyline((-2.0, -1.0, -0.25), (0.0, 0.0, 0.0))], -1.75, -0.25)
    assert area_m2(region) == pytest.approx(4 * 1.5)


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("more", [[], [Line(0, 9)]])
def test_region_is_a_triangle_where_lines_part(side: int, more: list[Line]) -> None:
    """From one point two lines part by half a meter for each meter: 4 m on, 4 m2."""
    region = Region()
    start, end = sorted((0.0, 4.0 * side))
    region.add([Line(0, 3, 0.5 * side), *more], [Line(0, 3)], start, end)
    assert area_m2(region) == pytest.approx(4)
    assert len(region.trapezoids) == 1


@pytest.mark.parametrize("off", [5e-10, -5e-10])
@pytest.mark.parametrize("swapped", [True, False])
@pytest.mark.parametrize("at", [0.0, 4.0])
def test_region_is_parted_by_no_crossing_within_rounding_of_an_end(
    at: float, swapped: bool, off: float
) -> None:
    """One upper rises from 2 to 6 or falls so, over 0; the other, at 6, it meets by half a
    billionth at the end or the start: one piece, 16 m2."""
    pair = [Line(at, 6 + off, 1.0 if at else -1.0), Line(0, 6)]
    region = Region()
    region.add(pair[::-1] if swapped else pair, [Line(0, 0)], 0.0, 4.0)
    assert [(a, b) for a, _, b, _ in region.trapezoids] == [(0, 4)]
    assert area_m2(region) == pytest.approx(16)


def test_region_adds_a_block_as_high_as_asked() -> None:
    """0.75 m high from 2 to 5.5."""
    region = Region()
    region.add_block(0.75, 2.0, 5.5)
    assert (region.trapezoids, region.codes) == ([(2.0, 0.75, 5.5, 0.75)], [-2])


def test_clipped_keeps_what_lies_between_two_offsets() -> None:
    """From 2 to 6: half of the first piece, 3 to 4 m high, three quarters of the second, down to
    0.5 - 3/4 x 0.25, nothing of the third. At 3 to 7 the second is left alone."""
    assert clipped(THREE_PIECES, 2.0, 6.0) == ((2.0, 3.0, 3.0, 4.0), (3.0, 0.5, 6.0, 0.3125))
    assert clipped(THREE_PIECES, 3.0, 7.0) == (THREE_PIECES[1],)
    assert clipped(THREE_PIECES, 8.0, 9.0) == ()


def test_moments_are_areas_about_their_centroids() -> None:
    """6 m2 as a block of 4 about 2 and a triangle of 2 about 1 + 4/3; 1 m2 about 5 and 0.5 m2
    about 3 + 4/3; 1.5 m2 about 7 + 1/3."""
    first = 4 * 2 + 2 * (1 + 4 / 3)
    second = 1 * 5 + 0.5 * (3 + 4 / 3)
    third = 1.5 * (7 + 1 / 3)
    assert moment(THREE_PIECES[0]) == pytest.approx((6, first))
    assert moments(THREE_PIECES) == pytest.approx((9, first + second + third))


def test_weighted_is_the_integral_of_height_times_weight() -> None:
    """Weight x³: over the first piece height 1 + x, 81/4 - 1/4 + (243 - 1) / 5. Over the others
    the weight 1 gives the area."""
    found = weighted(THREE_PIECES[:1], lambda x: x**3)
    assert found == pytest.approx(80 / 4 + 242 / 5, rel=1e-12)
    assert weighted(THREE_PIECES, lambda _: 1.0) == pytest.approx(9, rel=1e-12)
