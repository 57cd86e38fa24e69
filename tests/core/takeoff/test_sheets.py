"""Reinforcement in place, and the pieces cut for it, by hand and by a second method.

Unless a test says otherwise: no setback, layers 5 ft long from the face, rolls 6 ft wide.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from shapely import affinity
from shapely.geometry import Polygon, box

from service.core.job.spec import PlanPart, TurnSide
from service.core.layout.layout import WallLayout
from service.core.takeoff.sheets import LaidLayer, measure_sheets
from tests.given.reinforcement import layer
from tests.given.set_walls import UPRIGHT
from tests.given.walls import (
    corner,
    curve,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    quarter_circle,
    straight,
    system,
    to_ft,
    to_ft2,
)

EXACT = 1e-9
ROLL = ft(6)
FAR = 1000.0


def upright(plan: float | tuple[PlanPart, ...]) -> WallLayout:
    """A wall without setback on a plan."""
    return laid(level_wall(plan), UPRIGHT)


def sheets(plan: float | tuple[PlanPart, ...], *courses: int) -> tuple[LaidLayer, ...]:
    """Layers of 5 ft under these courses of an upright wall (else under the 2nd)."""
    layout = upright(plan)
    return measure_sheets(layout, [layer(layout, course) for course in courses or (2,)], ROLL)


def pieces(found: tuple[LaidLayer, ...]) -> list[int]:
    """Pieces of each layer."""
    return [sum(each.pieces) for each in found]


def area_ft2(found: tuple[LaidLayer, ...]) -> float:
    """Area of all layers in ft2."""
    return to_ft2(sum(each.area_m2 for each in found))


@pytest.mark.parametrize(("length", "count"), [(40, 7), (36, 6), (36.1, 7), (5, 1), (42, 7)])
def test_measure_sheets_covers_a_straight_wall_in_roll_widths(length: float, count: int) -> None:
    """ceil(length / 6 ft) pieces; the area is length x 5 ft."""
    (found,) = sheets(ft(length))
    assert found.pieces == (count,)
    assert to_ft2(found.area_m2) == pytest.approx(5 * length, rel=EXACT)
    assert (found.overlap_m2, found.carried_m2, found.bends) == (0, 0, False)


def test_measure_sheets_covers_an_outside_curve_along_its_face() -> None:
    """Quarter circle of 10 ft, 5 ft deep: 58.905 ft2; 15.708 ft of face take 3 pieces."""
    (found,) = sheets(quarter_circle("outside", ft(10)))
    assert to_ft2(found.area_m2) == pytest.approx(math.pi / 4 * (10**2 - 5**2), rel=EXACT)
    assert to_ft(found.widths_m[0]) == pytest.approx(5 * math.pi, rel=EXACT)
    assert (found.pieces, found.bends) == ((3,), True)


def test_measure_sheets_covers_an_inside_curve_along_its_rear() -> None:
    """Quarter circle of 10 ft, 5 ft deep: 98.175 ft2; 23.562 ft at the rear take 4 pieces."""
    (found,) = sheets(quarter_circle("inside", ft(10)))
    assert to_ft2(found.area_m2) == pytest.approx(math.pi / 4 * (15**2 - 10**2), rel=EXACT)
    assert to_ft(found.widths_m[0]) == pytest.approx(7.5 * math.pi, rel=EXACT)
    assert found.pieces == (4,)


def test_measure_sheets_covers_each_part_of_a_bent_leg_along_its_longer_edge() -> None:
    """An S of two quarter circles: 15.708 ft of the outside one's face and 23.562 ft of the inside
    one's rear are 39.27 ft: 7 pieces, though either edge alone is 31.416 ft."""
    plan = (curve("outside", ft(10), 90), curve("inside", ft(10), 90))
    (found,) = sheets(plan)
    assert to_ft(found.widths_m[0]) == pytest.approx(12.5 * math.pi, rel=EXACT)
    assert found.pieces == (7,)


def test_measure_sheets_bend_where_any_part_does() -> None:
    """A straight of 10 ft before a quarter circle: pieces overlap along the curve."""
    (found,) = sheets((straight(ft(10)), curve("outside", ft(10), 90)))
    assert found.bends


def test_measure_sheets_stops_at_the_center_of_a_tight_curve() -> None:
    """A layer of 5 ft within a radius of 4 ft covers the quarter disc, no more."""
    layout = laid(level_wall(quarter_circle("outside", ft(4))), UPRIGHT)
    (found,) = measure_sheets(layout, [layer(layout, 2)], ROLL)
    assert to_ft2(found.area_m2) == pytest.approx(math.pi * 4**2 / 4, rel=EXACT)


def test_measure_sheets_follows_the_setback_of_its_course() -> None:
    """Under the 4th course the face stands 3 in behind the plan line: arc (120 - 3)·π/2 in, and
    the annulus from there."""
    layout = laid(level_wall(quarter_circle("outside", ft(10))), system(setback=inch(1)))
    (found,) = measure_sheets(layout, [layer(layout, 4)], ROLL)
    assert to_ft(found.widths_m[0]) == pytest.approx(117 / 12 * math.pi / 2, rel=EXACT)
    annulus = math.pi / 4 * (9.75**2 - 4.75**2)
    assert to_ft2(found.area_m2) == pytest.approx(annulus, rel=EXACT)


def test_measure_sheets_overlaps_at_an_outside_corner() -> None:
    """Legs of 20 and 10 ft at a right angle: 125 ft2 of ground, and the square of 25 ft2 twice."""
    (found,) = sheets(legs("outside", 90, ft(20), ft(10)))
    assert to_ft2(found.area_m2) == pytest.approx(150, rel=EXACT)
    assert to_ft2(found.overlap_m2) == pytest.approx(25, rel=EXACT)
    assert found.pieces == (4, 2)


def test_measure_sheets_carries_one_leg_on_at_an_inside_corner() -> None:
    """Legs of 20 and 10 ft: 175 ft2 of ground, all covered once; the longer leg is carried on by
    5 ft in the lowest layer, the other in the next, and so on in turns."""
    first, second, *more = sheets(legs("inside", 90, ft(20), ft(10)), 2, 4, 5, 6)
    assert [to_ft2(each.area_m2) for each in (first, second)] == pytest.approx([175, 175])
    assert [to_ft(width) for width in first.widths_m] == pytest.approx([25, 10])
    assert [to_ft(width) for width in second.widths_m] == pytest.approx([20, 15])
    assert (first.pieces, second.pieces) == ((5, 2), (4, 3))
    assert [each.pieces for each in more] == [(5, 2), (4, 3)]


def _at_corner(side: TurnSide, degrees: float) -> tuple[Polygon, Polygon, Polygon]:
    """Soil behind a corner at the origin, and the sheets of both legs, 20 and 10 ft, 5 ft deep."""
    turn = degrees if side == "outside" else -degrees
    first = box(-20, 0, 0, 5)
    second = affinity.rotate(box(0, 0, 10, 5), turn, origin=(0, 0))
    before = box(-FAR, 0, FAR, FAR)
    after = affinity.rotate(before, turn, origin=(0, 0))
    both: Any = before.intersection(after) if side == "outside" else before.union(after)
    return both, first, second


@pytest.mark.parametrize("degrees", [15, 45, 60, 90, 100, 120])
def test_measure_sheets_lays_what_lies_in_the_soil_of_both_legs(degrees: float) -> None:
    """At an outside corner of any angle: both rectangles, as far as they lie in the soil; they
    overlap by as much as is said. Second method: polygons."""
    soil, first, second = _at_corner("outside", degrees)
    one, other = first.intersection(soil), second.intersection(soil)
    (found,) = sheets(legs("outside", degrees, ft(20), ft(10)))
    assert to_ft2(found.area_m2) == pytest.approx(one.area + other.area, rel=1e-6)
    assert to_ft2(found.overlap_m2) == pytest.approx(one.intersection(other).area, rel=1e-6)


@pytest.mark.parametrize("degrees", [15, 45, 60, 90, 100, 120])
def test_measure_sheets_leaves_no_gap_at_an_inside_corner(degrees: float) -> None:
    """At an inside corner of any angle the carried leg is long enough to cover what lies between
    the other leg's end and its own, up to the moved lines. Second method: polygons."""
    (found,) = sheets(legs("inside", degrees, ft(20), ft(10)))
    on = to_ft(found.widths_m[0]) - 20
    _, first, second = _at_corner("inside", degrees)
    radians = math.radians(degrees)
    tip = 5 * math.tan(radians / 2), 5
    end = 5 * math.sin(radians), 5 * math.cos(radians)
    gap = Polygon([(0, 0), end, tip, (0, 5)])
    carried = box(-20, 0, on, 5)
    below = gap.difference(box(-FAR, -FAR, FAR, 0))
    assert below.difference(carried.union(second).buffer(1e-9)).area == pytest.approx(0, abs=1e-9)
    assert to_ft2(found.carried_m2) == pytest.approx(gap.area, rel=1e-6)
    assert to_ft2(found.area_m2) == pytest.approx(first.area + second.area + gap.area, rel=1e-6)


PLANS: dict[str, tuple[PlanPart, ...]] = {
    "straight": (straight(ft(40)),),
    "outside corner": legs("outside", 90, ft(20), ft(10)),
    "inside corner": legs("inside", 60, ft(20), ft(10)),
    "equal legs": legs("inside", 90, ft(16), ft(16)),
    "a jog of equal legs": (
        straight(ft(21)),
        corner("outside"),
        straight(ft(11)),
        corner("inside"),
        straight(ft(11)),
        corner("inside"),
        straight(ft(30)),
    ),
    "curve and corner": (
        straight(ft(13)),
        curve("inside", ft(9), 70),
        straight(ft(8)),
        corner("outside", 75),
        straight(ft(17)),
    ),
}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_measure_sheets_of_a_mirrored_wall_are_the_same(plan: tuple[PlanPart, ...]) -> None:
    """Pieces and area of a mirrored wall are those of the wall, layer by layer."""
    for setback in (0.0, inch(1)):
        found = []
        for parts in (plan, plan[::-1]):
            layout = laid(level_wall(parts), system(cap=None, setback=setback))
            layers = [layer(layout, course) for course in (2, 4, 6)]
            found.append(measure_sheets(layout, layers, ROLL))
        there, back = found
        assert pieces(there) == pieces(back)
        assert area_ft2(there) == pytest.approx(area_ft2(back), rel=EXACT)


@pytest.mark.parametrize(
    ("plan", "first", "other"),
    [
        (legs("inside", 90, ft(30), ft(10), ft(10), ft(20)), (6, 3, 2, 5), (5, 3, 4, 4)),
        (legs("inside", 45, ft(10), ft(10), ft(20)), (3, 2, 4), (2, 3, 4)),
    ],
)
def test_measure_sheets_of_equal_legs_go_by_what_lies_beyond(
    plan: tuple[PlanPart, ...], first: tuple[int, ...], other: tuple[int, ...]
) -> None:
    """Of two legs of 10 ft the one beside 30 ft counts as the longer one, not that beside 20, and
    one that ends as longer than one that goes on around an inside corner. It is carried on in the
    first layer by 5 ft (at 45 deg by 3.54 ft), the other one in the next; a mirrored wall likewise.
    """
    for parts, turned in ((plan, 1), (plan[::-1], -1)):
        found = sheets(parts, 2, 4)
        assert [each.pieces for each in found] == [first[::turned], other[::turned]]


def bent(*parts: float | tuple[TurnSide, float]) -> tuple[PlanPart, ...]:
    """Legs in ft, and corners between them."""
    return tuple(corner(*part) if isinstance(part, tuple) else straight(ft(part)) for part in parts)


@pytest.mark.parametrize(
    ("plan", "at"),
    [
        # Beyond: 20 deg then 40 deg on one side, 40 deg then 20 deg on the other.
        (
            bent(
                *(20, ("inside", 20), 10, ("inside", 40), 10, ("inside", 30)),
                *(10, ("inside", 20), 10, ("inside", 40), 20),
            ),
            2,
        ),
        # Beyond: nothing, and an outside corner.
        (bent(10, ("inside", 90), 10, ("outside", 20), 20), 0),
    ],
)
def test_measure_sheets_carries_one_and_the_same_of_equal_legs(
    plan: tuple[PlanPart, ...], at: int
) -> None:
    """Of two equal legs it is the same one however the wall is walked along."""
    widths = []
    for parts in (plan, plan[::-1]):
        (found,) = sheets(parts, 2)
        own = found.widths_m if parts is plan else found.widths_m[::-1]
        widths.append([to_ft(width) for width in own[at : at + 2]])
    assert widths[0] == pytest.approx(widths[1], rel=EXACT)
    assert min(widths[0]) < max(widths[0]) - 1


def test_measure_sheets_cuts_off_no_more_than_a_short_leg_has() -> None:
    """Two corners of 120 deg about a leg of 2.5 ft: legs of 20 ft lose 5² tan 30° / 2 = 7.217 ft2
    each, the short one 5 x 2.5 / 2 = 6.25 at each end."""
    (found,) = sheets(legs("outside", 120, ft(20), ft(2.5), ft(20)))
    lost = 2 * (12.5 * math.tan(math.pi / 6) + 6.25)
    assert to_ft2(found.area_m2) == pytest.approx(5 * 42.5 - lost, rel=EXACT)


@pytest.mark.parametrize("cut", [6, 12, 18, 30])
def test_measure_sheets_of_a_wall_split_at_whole_roll_widths_are_the_same(cut: float) -> None:
    """A straight wall cut in two at a whole number of roll widths takes the same pieces."""
    whole, parts = sheets(ft(40)), (sheets(ft(cut)), sheets(ft(40 - cut)))
    assert pieces(whole) == [sum(sum(pieces(part)) for part in parts)]
    assert area_ft2(whole) == pytest.approx(sum(area_ft2(part) for part in parts), rel=EXACT)


def test_measure_sheets_joins_layers_that_go_on() -> None:
    """Three stretches of 10 ft at one joint with one length are 30 ft: 5 pieces, not 6; another
    length, another joint or a gap keeps them apart."""
    layout = upright(ft(40))
    parts = [layer(layout, 2, from_m=ft(at), to_m=ft(at + 10)) for at in (20, 0, 10)]
    assert pieces(measure_sheets(layout, parts, ROLL)) == [5]
    longer = layer(layout, 2, ft(6), ft(30), ft(40))
    assert pieces(measure_sheets(layout, [*parts, longer], ROLL)) == [5, 2]
    apart = [parts[1], parts[0], layer(layout, 3, from_m=ft(10), to_m=ft(20))]
    assert pieces(measure_sheets(layout, apart, ROLL)) == [2, 2, 2]


def test_measure_sheets_overlaps_only_where_it_turns_the_corner() -> None:
    """A layer that ends 10 ft before the corner, or at it, has no overlap."""
    layout = upright(legs("outside", 90, ft(20), ft(10)))
    for end in (10, 20):
        (found,) = measure_sheets(layout, [layer(layout, 2, to_m=ft(end))], ROLL)
        assert found.overlap_m2 == 0
        assert to_ft2(found.area_m2) == pytest.approx(5 * end, rel=EXACT)
