"""Slices of a wall: within it, over the pad's extension past an end, over the sloped end.

40 ft of units without setback, the pad a foot longer at each end. On ground at 1 ft the base lies
8 in under a front grade of 0: trench from -0.5 to 1.5 ft behind the plan line, floor to 2 ft, the
pad's top at -2/3 ft, the trench's bottom at -7/6 ft. In feet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields, replace

import pytest

from service.core.ground.columns import HeightRow
from service.core.ground.dug_wall import DugWall, Slice
from service.core.ground.excavation import asked_digging, dig_out
from service.core.job.spec import Ends, WallSpec
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.measure import US
from tests.given.earth import BETWEEN, EARTH_RULES, dig_section, ground_wall, soil
from tests.given.set_walls import UPRIGHT
from tests.given.walls import ft, inch, laid, to_ft

OPEN = Ends(start="open", finish="open")
LEVEL = ground_wall((0, 4, 0, 1), (40, 4, 0, 1), graded_in_front_m=0.0, graded_behind_m=0.0)
HIGH = 5 / 3  # ground over the floor


def dug_wall(
    ends: Ends, cut_slope: float = 1.0, *, spec: WallSpec = LEVEL, topsoil: Topsoil = NO_TOPSOIL
) -> DugWall:
    """A wall dug by itself."""
    detail = dig_section(minimum=inch(8), cut_slope=cut_slope, end_extension=ft(1))
    asked = asked_digging(detail, soil(class_="B"), EARTH_RULES, topsoil)
    found = dig_out(laid(replace(spec, ends=ends), UPRIGHT, detail), asked, US)
    assert found is not None
    return found.wall


def slice_past(wall: DugWall, away: float, *, at_start: bool = True) -> Slice:
    """The slice so far beyond an end."""
    found = wall.slice_at(-ft(away) if at_start else wall.length_m + ft(away))
    assert found is not None
    return found


def in_feet(row: HeightRow) -> list[tuple[float, ...]]:
    """A row in feet."""
    return [tuple(to_ft(each) for each in trapezoid) for trapezoid in row]


def rows(*trapezoids: Sequence[float]) -> list[object]:
    """What a row in feet should be."""
    return [pytest.approx(each) for each in trapezoids]


def marks(found: Slice) -> list[float]:
    """Offsets of a slice, in feet."""
    return [to_ft(x) for x in (found.edge_m, found.front_m, found.built_m, found.until_m)]


@pytest.mark.parametrize(
    ("ends", "cut_slope", "reach_ft"),
    [(BETWEEN, 1.0, 1.0), (OPEN, 0.0, 1.0), (OPEN, 1.0, 1 + HIGH), (OPEN, 0.5, 1 + HIGH / 2)],
    ids=["against structures", "an upright cut", "1:1", "1/2:1"],
)
def test_a_slice_ends_with_the_earthwork_beyond_an_end(
    ends: Ends, cut_slope: float, reach_ft: float
) -> None:
    """The extension of a foot, and where the cut slopes off what it needs for 5/3 ft of height."""
    wall = dug_wall(ends, cut_slope)
    for at_start in (True, False):
        assert to_ft(wall.reach_m(at_start)) == pytest.approx(reach_ft)
        for away, left in ((0.999, True), (reach_ft - 0.001, True), (reach_ft, False), (4, False)):
            station = -ft(away) if at_start else wall.length_m + ft(away)
            assert (wall.slice_at(station) is not None) == left, away


def test_a_slice_past_the_extension_is_less_than_the_trench() -> None:
    """Where the extension ends only the sloped end is left: no deeper than the pad's top."""
    wall = dug_wall(OPEN, 1.0)
    within, past = slice_past(wall, 0.999), slice_past(wall, 1)
    assert to_ft(max(first for _, first, _, _ in within.cut)) == pytest.approx(HIGH + 0.5)
    assert to_ft(max(first for _, first, _, _ in past.cut)) == pytest.approx(HIGH)


# rises 4:1 to 1 ft at the plan line: over the floor 1.5417 ft at -0.5 ft, 2.1667 ft at 2 ft; the
# cut at 1:1 meets it where x - 2 = 5/3 + x / 4, at 44/9 ft, 26/9 ft over the floor
RISING = replace(LEVEL, existing_slope=0.25)
# falls 4:1 behind, so that it is highest over the front of the trench, and surveyed on the same
# plane; another survey has a ridge of 2 ft at 1 ft
FALLING = replace(LEVEL, existing_slope=-0.25)
PAIRS = ((-9, 1), (0, 1), (1, 2), (1.75, 1), (9, 1))
RIDGE = ground_wall(
    (0, 4, 0, 0), (40, 4, 0, 0), section_pairs=PAIRS, graded_in_front_m=0.0, graded_behind_m=0.0
)
# ground under the floor everywhere
LOW = ground_wall((0, 4, 0, -2), (40, 4, 0, -2), graded_in_front_m=0.0, graded_behind_m=0.0)


@pytest.mark.parametrize(
    ("spec", "reach"),
    [(RISING, 1 + 26 / 9), (FALLING, 1 + HIGH + 0.125), (RIDGE, 1 + 8 / 3), (LOW, 1)],
    ids=["behind", "in front", "between", "nowhere"],
)
def test_a_sloped_end_reaches_as_far_as_the_highest_ground_asks(
    spec: WallSpec, reach: float
) -> None:
    """At 1:1, past the extension of a foot, by what the ground stands over the floor."""
    assert to_ft(dug_wall(OPEN, spec=spec).reach_m(at_start=True)) == pytest.approx(reach)


def test_there_is_no_slice_where_the_sloped_end_has_met_all_ground() -> None:
    """Ground that rises from 1.5417 ft over the front of the floor to 2.1667 ft over its rear lies
    under a slope 2.2 ft farther on; its highest place would reach 26/9 ft."""
    wall = dug_wall(OPEN, spec=RISING)
    assert wall.slice_at(-ft(1 + 2.1)) is not None
    assert wall.slice_at(-ft(1 + 2.3)) is None


def area(row: HeightRow, from_ft: float = -math.inf) -> float:
    """Area of a row behind an offset."""
    return sum((c - a) * (b + d) / 2 for a, b, c, d in in_feet(row) if a > from_ft - 1e-9)


def cone_area(high: float, away: float, rise: float) -> float:
    """What stands over a cone behind its axis, in steps of 1/4000 ft, `away` from it."""
    heights = (high - rise * math.hypot((i + 0.5) / 4000, away) for i in range(16000))
    return sum(each for each in heights if each > 0) / 4000


@pytest.mark.parametrize("at_start", [True, False])
@pytest.mark.parametrize(("cut_slope", "away"), [(1.0, 0.6), (0.5, 0.25)])
def test_a_slice_of_a_sloped_end_is_a_wedge_and_a_part_of_a_cone(
    cut_slope: float, away: float, *, at_start: bool
) -> None:
    """Past the extension the face stands away / slope over the floor, and behind the floor as
    high as a cone round its corner does, in 16 chords. 3 in are stripped, 5 in put back."""
    wall = dug_wall(OPEN, cut_slope, topsoil=Topsoil(strip_m=inch(3), replace_m=inch(5)))
    found = slice_past(wall, 1 + away, at_start=at_start)
    rise = 1 / cut_slope
    meets = 2 + math.sqrt((HIGH / rise) ** 2 - away**2)
    for row, depth in ((found.cut, 3 / 12), (found.backfill, 5 / 12)):
        high = HIGH - depth
        floor = high - away * rise
        assert in_feet(row)[0] == pytest.approx((-0.5, floor, 2, floor))
        assert area(row, 2) == pytest.approx(cone_area(high, away, rise), rel=3e-3)
    assert found.disturbed == found.bare
    first, last = in_feet(found.disturbed)[0], in_feet(found.disturbed)[-1]
    assert (first[0], last[2]) == pytest.approx((-0.5, meets), rel=3e-3)
    assert {height for _, a, _, b in found.disturbed for height in (a, b)} == {1.0}
    assert marks(found) == pytest.approx([-0.5, -0.5, -0.5, 2 + HIGH / rise])
    assert (found.fill, found.raised, found.section) == ((), (), None)


def test_a_slice_of_a_sloped_end_needs_no_more_survey_than_the_section() -> None:
    """The level ground as surveyed pairs that end where the cut does, 5/3 ft behind the floor."""
    pairs = ((-1, 1), (2 + HIGH, 1))
    spec = ground_wall(
        (0, 4, 0, 0), (40, 4, 0, 0), section_pairs=pairs, graded_in_front_m=0.0, graded_behind_m=0.0
    )
    surveyed, plane = (slice_past(dug_wall(OPEN, spec=each), 1.5) for each in (spec, LEVEL))
    assert in_feet(surveyed.cut) == rows(*in_feet(plane.cut))


@pytest.mark.parametrize("at_start", [True, False])
def test_a_slice_over_the_extension_is_the_trench_filled_back(*, at_start: bool) -> None:
    """Dug as at the end, up to where the cut ends; 6 in of it are pad. Graded strips before and
    behind it end with the wall."""
    spec = ground_wall(
        (0, 4, 0, 1), (40, 4, 0, 1), back=0.5, graded_in_front_m=ft(3), graded_behind_m=ft(5)
    )
    found = slice_past(dug_wall(OPEN, spec=spec), 0.5, at_start=at_start)
    cut = (  # the graded ground behind at 0.5 ft lies under the slope from 19/6 ft on
        (-0.5, HIGH + 0.5, 1.5, HIGH + 0.5),
        (1.5, HIGH, 2, HIGH),
        (2, HIGH, 19 / 6, 0.5),
        (19 / 6, 0.5, 11 / 3, 0.5),
    )
    assert in_feet(found.cut) == rows(*cut)
    assert in_feet(found.backfill) == rows((-0.5, HIGH, 1.5, HIGH), *cut[1:])
    assert found.disturbed == found.bare == ((found.edge_m, 1.0, found.until_m, 1.0),)
    assert marks(found) == pytest.approx([-0.5, -0.5, -0.5, 11 / 3])


@pytest.mark.parametrize(
    "wall", [dug_wall(OPEN, 0.0), dug_wall(OPEN, spec=LOW)], ids=["an upright cut", "low ground"]
)
def test_a_slice_over_the_extension_ends_with_the_floor_where_no_slope_stands_behind_it(
    wall: DugWall,
) -> None:
    """From the front of the trench to the rear of the floor; where the ground lies under both
    nothing is cut."""
    found = slice_past(wall, 0.5)
    assert in_feet(found.disturbed) == rows((-0.5, 1 / 0.3048, 2, 1 / 0.3048))
    assert marks(found) == pytest.approx([-0.5, -0.5, -0.5, 2])
    assert bool(found.cut) is bool(found.backfill) is (wall.digging.cut_slope == 0)


def test_a_slice_within_the_wall_is_its_section() -> None:
    """On level ground at 1 ft, graded 3 ft in front at 0 and 9 ft behind at 4 ft: finished ground
    is raised 3 ft over existing ground from the back of the units to where grading ends."""
    spec = replace(LEVEL, graded_in_front_m=ft(3), graded_behind_m=ft(9))
    wall = dug_wall(OPEN, spec=spec)
    found = wall.slice_at(ft(1.5))
    assert found is not None
    assert in_feet(found.raised) == rows((1, 3, 9, 3))
    assert in_feet(found.fill) == rows((11 / 3, 3, 9, 3))
    assert in_feet(found.cut)[0] == pytest.approx((-3, 1, -0.5, 1))
    assert to_ft(found.disturbed[0][0]) == pytest.approx(-3)
    assert [to_ft(x) for x in (found.edge_m, found.front_m, found.built_m)] == pytest.approx(
        [-0.5, -3, 2]
    )
    assert found.until_m > ft(1000)
    assert found.section is wall.section_at(ft(1.5))
    assert wall.slice_at(ft(1.5)) is found


def test_a_slice_is_raised_up_to_where_finished_ground_meets_the_other() -> None:
    """A yard that falls 4:1 from 2 ft behind the units meets ground of 1 ft 4 ft behind them."""
    spec = replace(
        ground_wall(
            (0, 4, 0, 1), (40, 4, 0, 1), back=2, graded_in_front_m=0.0, graded_behind_m=ft(9)
        ),
        back_slope=-0.25,
    )
    found = dug_wall(OPEN, spec=spec).slice_at(ft(1.5))
    assert found is not None
    assert in_feet(found.raised) == rows((1, 1, 5, 0))


def test_a_moved_slice_is_the_same_farther_back() -> None:
    """Every row and every mark by as much."""
    spec = replace(LEVEL, graded_in_front_m=ft(3), graded_behind_m=ft(9))
    found = dug_wall(OPEN, spec=spec).slice_at(ft(1.5))
    assert found is not None
    other = found.moved(ft(7))
    for name in (field.name for field in fields(Slice) if field.name != "section"):
        before, after = getattr(found, name), getattr(other, name)
        if isinstance(before, float):
            assert after - before == pytest.approx(ft(7)), name
        else:
            assert before, name
            by = [(a + ft(7), b, c + ft(7), d) for a, b, c, d in before]
            assert list(after) == [pytest.approx(each) for each in by], name
    assert other.section is found.section


def test_a_slice_is_raised_no_farther_where_finished_ground_has_met_the_other_in_the_cut() -> None:
    """A yard that falls 2:1 from 2 ft meets ground of 1 ft 2 ft behind the units, at 3 ft; the cut
    ends at 11/3 ft."""
    spec = replace(
        ground_wall((0, 4, 0, 1), (40, 4, 0, 1), back=2, graded_in_front_m=0.0), back_slope=-0.5
    )
    found = dug_wall(OPEN, spec=spec).slice_at(ft(1.5))
    assert found is not None
    assert in_feet(found.raised) == rows((1, 1, 3, 0))


def test_each_end_goes_by_its_own_ground_and_kind() -> None:
    """A wall of 2 ft against a structure at its start, open at its finish, where the ground is at
    1.5 ft and 13/6 ft over the floor."""
    spec = ground_wall((0, 4, 0, 1), (2, 4, 0, 1.5), graded_in_front_m=0.0, graded_behind_m=0.0)
    wall = dug_wall(Ends(start="against_structure", finish="open"), spec=spec)
    assert [to_ft(wall.reach_m(at_start)) for at_start in (True, False)] == pytest.approx(
        [1, 1 + 13 / 6]
    )
    assert wall.slice_at(-ft(1.2)) is None
    assert in_feet(slice_past(wall, 1.2, at_start=False).cut)[0] == pytest.approx(
        (-0.5, 13 / 6 - 0.2, 2, 13 / 6 - 0.2)
    )
    over = [in_feet(slice_past(wall, 0.5, at_start=each).cut)[1] for each in (True, False)]
    assert over == rows((1.5, HIGH, 2, HIGH), (1.5, 13 / 6, 2, 13 / 6))


def test_a_sloped_end_has_no_cone_where_the_ground_behind_lies_under_the_floor() -> None:
    """Ground falls 1:1 from 1.5 ft at the front: 1/2 ft past the extension it stands 5/3 ft over
    the face there, and meets it 5/3 ft farther behind."""
    found = slice_past(dug_wall(OPEN, spec=replace(LEVEL, existing_slope=-1.0)), 1.5)
    assert in_feet(found.cut) == rows((-0.5, HIGH, -0.5 + HIGH, 0))
    assert marks(found) == pytest.approx([-0.5, -0.5, -0.5, 2])


def test_a_dug_wall_knows_its_reach_and_its_turning_sections() -> None:
    """Ground rises from 1 ft to 2 ft along the first 20 ft and on to 2.5 ft: it is deepest and
    reaches farthest at the end; levels turn at the ends and between. The bank rises 4:1, so that
    finished ground in front meets it 4 to 10 ft out and the cut where x - 2 = 2/3 + E + x / 4."""
    spec = ground_wall(
        *((0, 4, 0, 1), (20, 4, 0, 2), (40, 4, 0, 2.5)), existing_slope=0.25, graded_behind_m=0.0
    )
    wall = dug_wall(BETWEEN, spec=spec)
    assert [to_ft(each) for each in wall.reach] == pytest.approx([-10, (8 / 3 + 2.5) / 0.75])
    assert to_ft(wall.deepest_m) == pytest.approx(2.5 + (8 / 3 + 2.5) / 3 + 7 / 6)
    assert [to_ft(each.station_m) for each in wall.turning] == pytest.approx([0, 20, 40])
    levels = [to_ft(wall.ground_at(ft(at)).at(0)) for at in (5, 30)]
    assert levels == pytest.approx([1.25, 2.25])
    assert to_ft(wall.section_at(ft(30)).cut_ends_at_m) == pytest.approx((8 / 3 + 2.25) / 0.75)
    assert to_ft(wall.section_at(ft(41)).station_m) == pytest.approx(40)
