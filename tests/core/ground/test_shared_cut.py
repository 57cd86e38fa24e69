"""Cuts of two and more walls: dug once, as one, against polygons level by level and by hand.

Units 18 x 8 x 12 in without setback or cap, base 8 in deep, pad 24 x 6 in with 6 in in front, stone
12 in wide: trench from 0.5 ft in front of the plan line to 1.5 ft behind it, floor to 2 ft, its
level two thirds of a foot under the front grade. Feet, ft2 and ft3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate

from service.core.ground.earthwork import WallEarthwork
from service.core.ground.excavation import Excavated, asked_digging, dig_out
from service.core.ground.tiers.joined import Joined, deep_together, join
from service.core.job.section import Section
from service.core.job.soil import ExcavationClass
from service.core.job.spec import Corner, Ends, Tier, TurnSide, WallSpec
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.measure import US
from tests.given.cut_levels import Cut, Place, bank, level_ground, volumes
from tests.given.earth import BETWEEN, EARTH_RULES, dig_section, ground_wall, soil, to_ft3
from tests.given.set_walls import UPRIGHT
from tests.given.slice_polygons import FAR, Slice
from tests.given.walls import ft, inch, laid, straight, system, to_ft

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

DETAIL = dig_section(minimum=inch(8))
OPEN = Ends(start="open", finish="open")
EMBEDDED = 2 / 3
QUARTER = 1.5707963267948966


def on_bank(
    name: str,
    behind: float,
    front: float,
    *,
    high: float = 8 / 3,
    rise: float = 0.5,
    ends: Ends = BETWEEN,
    length: float = 40,
    back: float | None = None,
) -> WallSpec:
    """A wall on a bank whose ground is at 0 where the lowest wall stands."""
    existing = behind * rise
    spec = ground_wall(
        (0, front + high, front, existing),
        (length, front + high, front, existing),
        back=back,
        ends=ends,
        existing_slope=rise,
        graded_in_front_m=0.0,
        graded_behind_m=ft(12),
    )
    return replace(spec, name=name)


def excavated(
    specs: Sequence[WallSpec],
    detail: Section = DETAIL,
    *,
    class_: ExcavationClass = "B",
    topsoil: Topsoil = NO_TOPSOIL,
) -> list[Excavated]:
    """Each wall dug by itself."""
    asked = asked_digging(detail, soil(class_=class_), EARTH_RULES, topsoil)
    found = [dig_out(laid(spec, UPRIGHT, detail, US), asked, US) for spec in specs]
    return [each for each in found if each]


def tiers(*offsets: tuple[str, str, float]) -> list[Tier]:
    """Tiers from (lower, upper, feet)."""
    return [Tier(lower=lower, upper=upper, offset_m=ft(offset)) for lower, upper, offset in offsets]


def cut_of(joined: Joined) -> float:
    """All that is dug, in ft3."""
    return to_ft3(sum(wall.cut_m3 for wall in joined.walls))


def shared(joined: Joined) -> float:
    """The shared cut, in ft3."""
    assert joined.shared_cut_m3 is not None
    return to_ft3(joined.shared_cut_m3)


def dug_at(line: Sequence[Place], pad_top: float, slope: float = 1.0, *, ends: bool = True) -> Cut:
    """The cut of a wall along a line, by the words of the module."""
    return Cut(tuple(line), -0.5, 1.5, 2.0, pad_top - 0.5, pad_top, slope, ends)


def across(behind: float, length: float = 40) -> tuple[Place, Place]:
    """A straight line so far behind the first."""
    return (0.0, behind), (length, behind)


def test_join_shares_the_cuts_of_two_tiers_by_hand() -> None:
    """What both would dig is dug by the lower wall alone: a triangle of 0.8333 x 0.4167 ft."""
    alone = excavated([on_bank("low", 0, 0), on_bank("up", 5, 8 / 3)])
    joined = join(alone, tiers(("low", "up", 5)))
    overlap = (16 / 3 - 4.5) * (0.5 * 4.5 - (4.5 - 2 - EMBEDDED)) / 2 * 40
    assert shared(joined) == pytest.approx(overlap)
    assert joined.walls[0].cut_m3 == alone[0].earth.cut_m3
    assert to_ft3(alone[1].earth.cut_m3 - joined.walls[1].cut_m3) == pytest.approx(overlap)


def test_join_stops_fill_of_the_lower_wall_at_the_upper_trench() -> None:
    """Backfill of the lower wall ends at the upper one's trench: a triangle of 0.8333 ft less; the
    upper wall's is as it was."""
    alone = excavated([on_bank("low", 0, 0), on_bank("up", 5, 8 / 3)])
    low, up = join(alone, tiers(("low", "up", 5))).walls
    less = alone[0].earth.backfill_m3 - low.backfill_m3
    assert to_ft3(less) == pytest.approx((16 / 3 - 4.5) ** 2 / 2 * 40)
    assert (up.backfill_m3, low.fill_m3) == (alone[1].earth.backfill_m3, 0.0)


def test_join_puts_nothing_back_that_the_upper_strip_takes_off() -> None:
    """The bank is at 2 ft 4 ft behind the lower face, where both finished grades are 2 ft. Its
    wedge up to the upper trench, 0.5 x 0.25 ft, is dug once and not put back; behind the edge of
    the trench 0.8333 x 0.4167 ft are the upper wall's."""
    up = replace(on_bank("up", 5, 2, high=2), graded_in_front_m=ft(3))
    alone = excavated([on_bank("low", 0, 0, high=2), up])
    low, joined_up = join(alone, tiers(("low", "up", 5))).walls
    wedge, behind = 0.5 * 0.25 / 2 * 40, (16 / 3 - 4.5) * (2.25 - 11 / 6) / 2 * 40
    assert to_ft3(alone[0].earth.backfill_m3 - low.backfill_m3) == pytest.approx(wedge + behind)
    assert to_ft3(alone[1].earth.cut_m3 - joined_up.cut_m3) == pytest.approx(wedge + behind)
    assert low.cut_m3 == alone[0].earth.cut_m3


@pytest.mark.parametrize("offset", [3.0, 4.0, 5.0])
def test_join_shares_two_tiers_with_sloped_ends(offset: float) -> None:
    """The overlap, sloped ends included, is that of polygons within 0.1 %."""
    front = 8 / 3
    specs = [on_bank("low", 0, 0, ends=OPEN), on_bank("up", offset, front, ends=OPEN)]
    joined = join(excavated(specs), tiers(("low", "up", offset)))
    cuts = [dug_at(across(0), -EMBEDDED), dug_at(across(offset), front - EMBEDDED)]
    expected = volumes(cuts, bank(0, 0.5), 8, 160)
    assert shared(joined) == pytest.approx(expected.shared, rel=1e-3)
    assert cut_of(joined) == pytest.approx(expected.union, rel=1e-4)


@pytest.mark.parametrize("middle", [40.0, 15.0])
def test_join_shares_three_walls(middle: float) -> None:
    """A column that three walls would dig is dug once; where the middle wall has ended the highest
    still shares the cut of the lowest."""
    specs = [
        on_bank("a", 0, -2, high=14 / 3, ends=OPEN),
        on_bank("b", 3, 1, ends=OPEN, length=middle),
        on_bank("c", 6, 2, ends=OPEN),
    ]
    joined = join(excavated(specs), tiers(("a", "b", 3), ("b", "c", 3)))
    cuts = [
        dug_at(across(0), -2 - EMBEDDED),
        dug_at(across(3, middle), 1 - EMBEDDED),
        dug_at(across(6), 2 - EMBEDDED),
    ]
    expected = volumes(cuts, bank(0, 0.5), 12, 160)
    assert shared(joined) == pytest.approx(expected.shared, rel=1e-3)
    assert cut_of(joined) == pytest.approx(expected.union, rel=1e-4)


@pytest.mark.parametrize(
    ("side", "sign", "ends"),
    [("outside", 1, BETWEEN), ("inside", -1, BETWEEN), ("outside", 1, OPEN), ("inside", -1, OPEN)],
)
def test_join_shares_tiers_of_a_u(side: TurnSide, sign: int, ends: Ends) -> None:
    """Around the corners of a U the overlap is that of mitred polygons within 0.1 %."""
    specs, cuts = [], []
    for name, behind, front in (("low", 0, 0), ("up", 5, 8 / 3)):
        arm, back = 25 - sign * behind, 30 - 2 * sign * behind
        turn = Corner(side=side, angle_rad=QUARTER)
        legs = (straight(ft(arm)), turn, straight(ft(back)), turn, straight(ft(arm)))
        spec = ground_wall(
            (0, front + 8 / 3, front, 4),
            (1, front + 8 / 3, front, 4),
            plan=legs,
            back=4,
            ends=ends,
            graded_in_front_m=0.0,
            graded_behind_m=ft(4.5),
        )
        specs.append(replace(spec, name=name))
        line = ((0, behind), (arm, behind), (arm, behind + sign * back), (0, behind + sign * back))
        cuts.append(dug_at(line, front - EMBEDDED, ends=ends is OPEN))
    joined = join(excavated(specs), tiers(("low", "up", 5)))
    expected = volumes(cuts, level_ground(4), 4, 80)
    assert shared(joined) == pytest.approx(expected.shared, rel=1e-3)
    assert cut_of(joined) == pytest.approx(expected.union, rel=1e-3)


@settings(max_examples=8, deadline=None)
@given(
    offset=st.floats(2.1, 9),
    front=st.floats(0, 4),
    lengths=st.tuples(st.floats(4, 40), st.floats(4, 40)),
    rise=st.floats(0.05, 0.6),
    high=st.floats(1, 4),
)
def test_join_never_moves_more_than_the_union(
    offset: float, front: float, lengths: tuple[float, float], rise: float, high: float
) -> None:
    """Of two walls anywhere on a bank exactly the union of their cuts is dug, and no more is
    filled than each fills by itself. Finished ground lies over the bank: nothing else is cut."""
    specs = [
        on_bank("low", 0, 0, rise=rise, ends=OPEN, length=lengths[0], high=high, back=30),
        on_bank("up", offset, front, rise=rise, ends=OPEN, length=lengths[1], back=30),
    ]
    alone = excavated(specs)
    joined = join(alone, tiers(("low", "up", offset)))
    cuts, tops = [], [1.0]
    for each, behind, length in zip(joined.walls, (0, offset), lengths, strict=True):
        own = next(a for a in alone if a.earth.wall == each.wall)
        level = to_ft(own.wall.layout.grid.level_m(own.wall.layout.lowest))
        cuts.append(dug_at(across(behind, length), level, each.cut_slope))
        tops.append(level + to_ft(each.deepest_m))
    expected = volumes(cuts, bank(0, rise), max(tops), 100)
    assert cut_of(joined) == pytest.approx(expected.union, rel=1e-3)
    for wall, single in zip(joined.walls, alone, strict=True):
        assert 0 <= wall.backfill_m3 <= single.earth.backfill_m3 + 1e-9
        assert 0 <= wall.fill_m3 <= single.earth.fill_m3 + 1e-9


@pytest.mark.parametrize(("shorter", "other"), [("up", "low"), ("low", "up")])
def test_join_takes_from_sloped_ends_what_the_other_wall_digs_and_fills(
    shorter: str, other: str
) -> None:
    """Beside a longer wall, what open ends move more than ends against a structure is what `ends`
    says: the upper wall digs less there than alone, the lower one fills less."""
    lengths = {shorter: 20, other: 40}

    def dug_with(ends: Ends) -> tuple[WallEarthwork, WallEarthwork]:
        """The shorter wall, alone and beside the other."""
        kinds = {shorter: ends, other: BETWEEN}
        specs = [
            on_bank(name, behind, front, ends=kinds[name], length=lengths[name])
            for name, behind, front in (("low", 0, 0), ("up", 4, 2))
        ]
        alone = excavated(specs)
        walls = zip(alone, join(alone, tiers(("low", "up", 4))).walls, strict=True)
        return next((one.earth, both) for one, both in walls if both.wall == shorter)

    (alone, open_), (_, held) = dug_with(OPEN), dug_with(BETWEEN)
    assert open_.ends.cut_m3 == pytest.approx(open_.cut_m3 - held.cut_m3)
    assert open_.ends.backfill_m3 == pytest.approx(open_.backfill_m3 - held.backfill_m3)
    assert (open_.ends.cut_m3 < alone.ends.cut_m3) == (shorter == "up")
    assert (open_.ends.backfill_m3 < alone.ends.backfill_m3) == (shorter == "low")


def test_join_looks_at_no_order() -> None:
    """The order of walls and tiers changes nothing."""
    specs = [
        on_bank(name, y, z, ends=OPEN) for name, y, z in (("c", 6, 2), ("a", 0, 0), ("b", 3, 1))
    ]
    pairs = tiers(("a", "b", 3), ("b", "c", 3))
    one = join(excavated(specs), pairs)
    other = join(excavated(specs[::-1]), pairs[::-1])
    assert one.walls == other.walls[::-1]
    assert one.shared_cut_m3 == other.shared_cut_m3


def test_join_leaves_a_wall_without_tiers_alone() -> None:
    """A wall of no tier is as it is alone, to the byte."""
    alone = excavated([on_bank("one", 0, 0, ends=OPEN), on_bank("two", 5, 8 / 3, ends=OPEN)])
    joined = join(alone, [])
    assert joined == Joined(walls=tuple(each.earth for each in alone), shared_cut_m3=None)


def test_join_leaves_tiers_far_apart_alone() -> None:
    """Two tiers whose cuts lie apart by more than the lower one's depth stay two cuts."""
    alone = excavated([on_bank("low", 0, 0, ends=OPEN), on_bank("up", 20, 10, ends=OPEN)])
    joined = join(alone, tiers(("low", "up", 20)))
    assert joined.shared_cut_m3 is None
    assert [wall.cut_m3 for wall in joined.walls] == [each.earth.cut_m3 for each in alone]
    assert [wall.deepest_m for wall in joined.walls] == [each.earth.deepest_m for each in alone]


def test_join_gives_a_tie_to_the_name_that_sorts_first() -> None:
    """Of two walls on one base level the one whose name sorts first digs the overlap."""
    specs = [on_bank("b", 0, 0, high=4), on_bank("a", 3, 0, high=4)]
    alone = excavated(specs)
    lower, upper = join(alone, tiers(("b", "a", 3))).walls
    assert upper.cut_m3 == alone[1].earth.cut_m3
    assert lower.cut_m3 < alone[0].earth.cut_m3


def level_tiers(existing: float = 0.0) -> list[WallSpec]:
    """Two tiers filled up over level ground, 6 ft apart."""
    return [
        replace(
            ground_wall(
                (0, z + 8 / 3, z, existing),
                (40, z + 8 / 3, z, existing),
                graded_behind_m=ft(12),
                graded_in_front_m=ft(4) if z else 0.0,
            ),
            name=name,
        )
        for name, z in (("low", 0.0), ("up", 8 / 3))
    ]


def test_join_leaves_no_bank_standing_that_the_other_wall_fills() -> None:
    """Where the lower wall fills up to the upper one nothing is left standing between them."""
    alone = excavated([on_bank("low", 0, 0), on_bank("up", 5, 8 / 3)])
    low, up = join(alone, tiers(("low", "up", 5))).walls
    assert [left.side for left in alone[1].earth.left_standing] == ["front"]
    assert up.left_standing == low.left_standing == ()


def test_join_keeps_the_bank_that_is_left_behind_the_upper_wall() -> None:
    """On level ground the fill of both tiers ends 12 ft behind the upper one: that alone stands."""
    alone = excavated(level_tiers())
    low, up = join(alone, tiers(("low", "up", 6))).walls
    assert [left.side for left in alone[0].earth.left_standing] == ["behind"]
    assert [left.side for left in alone[1].earth.left_standing] == ["front", "behind"]
    assert low.left_standing == ()
    (left,) = up.left_standing
    assert left.side == "behind"
    assert to_ft(left.height_m) == pytest.approx(16 / 3)


def test_join_says_how_much_fill_a_pad_stands_on() -> None:
    """3 ft behind the lower wall the pad stands over its cut: 1.5 ft less the floor at -2/3 ft and
    0.5 ft up its slope."""
    alone = excavated([on_bank("low", 0, 0), on_bank("up", 3, 8 / 3)])
    low, up = join(alone, tiers(("low", "up", 3))).walls
    assert to_ft(up.pad_fill_m) == pytest.approx(8 / 3 - EMBEDDED - 0.5 - (0.5 - EMBEDDED))
    assert (up.pad_fill_station_m, low.pad_fill_m) == (0.0, 0.0)


def test_join_counts_fill_raised_over_existing_ground_under_a_pad() -> None:
    """A pad above existing ground stands on the whole height of the lower wall's fill."""
    low, up = join(excavated(level_tiers()), tiers(("low", "up", 6))).walls
    assert to_ft(up.pad_fill_m) == pytest.approx(8 / 3 - EMBEDDED - 0.5)
    assert low.pad_fill_m == 0.0


def test_join_fills_under_an_upper_wall_once() -> None:
    """On level ground the lower wall fills up to the upper trench 5.5 ft behind its face, where the
    upper wall fills from existing ground on: nothing between them is filled twice."""
    low, up = join(excavated(level_tiers()), tiers(("low", "up", 6))).walls
    # floor to 2 ft, slope to 2 2/3 ft; over it up to 8/3 ft; trench of the upper wall from 5.5 ft
    assert to_ft3(low.backfill_m3 + low.fill_m3) / 40 == pytest.approx(
        EMBEDDED**2 / 2 + (5.5 - 2) * 8 / 3 + EMBEDDED * 0.5
    )
    # from 5.5 ft on: 1.5 ft under the trench, 2 ft under the floor, all behind units and stone, and
    # half a foot of soil before the base course
    assert to_ft3(up.backfill_m3 + up.fill_m3) / 40 == pytest.approx(
        2 * 1.5 + 0.5 * 2 + 0.5 * EMBEDDED + (12 - 2) * (16 / 3)
    )


@pytest.mark.parametrize("existing", [-6, -12, -20])
def test_join_fills_once_however_far_the_ground_lies_under_both_walls(existing: float) -> None:
    """Ground below both trenches: for each foot that it lies lower, a foot more is filled from
    0.5 ft before the lower wall to 18 ft behind it, where the upper one's grading ends."""
    filled = [
        sum(wall.backfill_m3 + wall.fill_m3 for wall in found.walls)
        for found in (
            join(excavated(level_tiers(ground)), tiers(("low", "up", 6)))
            for ground in (-2.0, existing)
        )
    ]
    assert to_ft3(filled[1] - filled[0]) / 40 == pytest.approx((-2 - existing) * 18.5)


def test_join_carries_no_strip_of_the_upper_wall_over_the_lower_one() -> None:
    """A graded strip in front of the upper wall ends behind the stone of the lower one, however
    far it was stated to go. Bare ground is 0.5 ft in front, 4 between them, 10 behind."""
    low, up = level_tiers()
    near = join(excavated([low, up]), tiers(("low", "up", 6))).walls
    far = join(
        excavated([low, replace(up, graded_in_front_m=ft(20))]), tiers(("low", "up", 6))
    ).walls
    assert far[0] == near[0]
    bare = sum(wall.bare_m2 for wall in near)
    assert bare == pytest.approx((0.5 + 4 + 10) * 40 * ft(1) ** 2)
    for name in ("cut_m3", "fill_m3", "disturbed_m2", "bare_m2"):
        assert getattr(far[1], name) == pytest.approx(getattr(near[1], name)), name


def bank_of_class_b(cut_slope: float) -> Joined:
    """Two tiers of 3 ft, 5 ft apart on a 2:1 bank, the upper one in front of the lower one's top:
    units 8 in high, a cap of 4 in."""
    detail = dig_section(minimum=inch(6), cut_slope=cut_slope)
    specs = [on_bank("low", 0, 0, high=3), on_bank("up", 5, 3, high=3)]
    layouts = [laid(spec, system(setback=0.0), detail, US) for spec in specs]
    asked = asked_digging(detail, soil(class_="B"), EARTH_RULES)
    dug = [dig_out(each, asked, US) for each in layouts]
    found = [each for each in dug if each]
    pair = tiers(("low", "up", 5))
    deep = deep_together(found, pair)
    flat = [each.flattened if each.earth.wall in deep else each for each in found]
    return join(flat, pair)


@pytest.mark.parametrize("cut_slope", [0.5, 0.75, 1.0])
def test_join_makes_two_tiers_on_a_bank_one_cut(cut_slope: float) -> None:
    """At 1:1 the tiers are 3.83 and 2.83 ft deep, both are one cut of 5.83 ft: from 1.17 ft under
    the lower grade to 4.67 ft over it. A steeper slope of the section is 5 ft deep as well."""
    for wall, other in zip(bank_of_class_b(cut_slope).walls, ("up", "low"), strict=True):
        assert to_ft(wall.deepest_m) == pytest.approx(7 / 6 + 14 / 3)
        assert (wall.cut_slope, wall.one_cut_with) == (1.0, (other,))
        assert wall.slope_basis == ("section" if cut_slope == 1 else "soil class, deep cut")


def test_join_asks_one_cut_with_the_slope_of_the_section() -> None:
    """At 1/4:1 both tiers together are 4.83 ft deep: the section's slope stays, though at the
    slope of the class they would be 5.83 ft."""
    for wall in bank_of_class_b(0.25).walls:
        assert to_ft(wall.deepest_m) == pytest.approx(7 / 6 + 11 / 3)
        assert (wall.cut_slope, wall.slope_basis) == (0.25, "section")


@pytest.mark.parametrize(
    ("offset", "is_one"), [(8.8, True), (16 / 3 + 23 / 6, False), (9.3, False)]
)
def test_join_takes_cuts_nearer_than_the_lower_depth_as_one(offset: float, is_one: bool) -> None:
    """The lower cut ends at 5.33 ft and is 3.83 ft deep: an upper trench that begins before 9.17 ft
    belongs to it, though nothing overlaps."""
    alone = excavated([on_bank("low", 0, 0), on_bank("up", offset + 0.5, 4)])
    joined = join(alone, tiers(("low", "up", offset + 0.5)))
    assert (joined.shared_cut_m3 is not None) is is_one
    assert [bool(wall.one_cut_with) for wall in joined.walls] == [is_one, is_one]
    assert [wall.pad_fill_m for wall in joined.walls] == [0.0, 0.0]
    if is_one:
        assert joined.shared_cut_m3 == 0.0


@pytest.mark.parametrize(("behind", "front"), [(17.0, 4.0), (12.0, 15.0)])
def test_join_measures_the_gap_without_graded_strips(behind: float, front: float) -> None:
    """Graded strips between two cuts on level ground that reach one another join no cuts."""
    low, up = level_tiers()
    low = replace(low, graded_behind_m=ft(behind))
    up = replace(up, graded_in_front_m=ft(front))
    alone = excavated([low, up])
    joined = join(alone, tiers(("low", "up", 16)))
    for wall, each in zip(joined.walls, alone, strict=True):
        assert wall.one_cut_with == ()
        assert wall.deepest_m == each.earth.deepest_m
    assert joined.shared_cut_m3 is None


def test_deep_together_asks_with_the_slope_of_the_section() -> None:
    """A deep lower wall is cut at 1:1 and then reaches near the upper one; at the section's 1/2:1
    it lies 8.2 ft off, farther than it is deep: the upper one keeps the section's slope."""
    detail = dig_section(minimum=inch(8), cut_slope=0.5)
    specs = [
        replace(
            ground_wall(
                (0, top, front, 6),
                (40, top, front, 6),
                back=6,
                graded_in_front_m=0.0,
                graded_behind_m=ft(9),
            ),
            name=name,
        )
        for name, top, front in (("low", 6.0, 0.0), ("up", 8.0, 5 + 1 / 3))
    ]
    found = excavated(specs, detail)
    pair = tiers(("low", "up", 14))
    assert deep_together(found, pair) == frozenset()
    assert [each.earth.slope_basis for each in found] == ["soil class, deep cut", "section"]
    assert [wall.one_cut_with for wall in join(found, pair).walls] == [("up",), ("low",)]


def test_join_strips_topsoil_under_both_walls_once() -> None:
    """Ground that both walls touch is stripped once."""
    topsoil = Topsoil(strip_m=inch(4), replace_m=inch(4))
    alone = excavated([on_bank("low", 0, 0), on_bank("up", 5, 8 / 3)], topsoil=topsoil)
    joined = join(alone, tiers(("low", "up", 5)))
    touched = sum(wall.disturbed_m2 for wall in joined.walls)
    assert sum(wall.stripped_m3 for wall in joined.walls) == pytest.approx(touched * inch(4))
    first, last = -ft(0.5), ft(2 * 16 / 3)  # the bank is met where it is as high as the upper top
    assert touched == pytest.approx((last - first) * ft(40))


def test_join_shares_what_a_pad_is_longer_than_its_wall() -> None:
    """Where pads run on a foot past both ends the cuts overlap there too."""
    detail = dig_section(minimum=inch(8), end_extension=ft(1))
    specs = [on_bank("low", 0, 0), on_bank("up", 5, 8 / 3)]
    plain = join(excavated(specs), tiers(("low", "up", 5)))
    longer = join(excavated(specs, detail), tiers(("low", "up", 5)))
    assert shared(longer) == pytest.approx(shared(plain) * 42 / 40)


def test_join_counts_ground_past_the_ends_once() -> None:
    """Where pads run on a foot past both ends the upper trench begins 4.5 ft and the lower cut ends
    16/3 ft behind the lower face: what lies between is touched by one wall, and bare at one."""
    specs = [on_bank("low", 0, 0), on_bank("up", 5, 8 / 3)]
    saved = []
    for detail in (DETAIL, dig_section(minimum=inch(8), end_extension=ft(1))):
        alone = excavated(specs, detail)
        walls = join(alone, tiers(("low", "up", 5))).walls
        singles = [each.earth for each in alone]
        saved.append(
            (
                sum(a.disturbed_m2 - w.disturbed_m2 for a, w in zip(singles, walls, strict=True)),
                sum(a.bare_m2 - w.bare_m2 for a, w in zip(singles, walls, strict=True)),
            )
        )
    (touched, bare), (touched_more, bare_more) = saved
    once = 2 * (16 / 3 - 4.5) * ft(1) ** 2
    assert touched_more - touched == pytest.approx(once)
    assert bare_more - bare == pytest.approx(once)


def test_join_shares_tiers_that_fall_and_step() -> None:
    """Of tiers that fall along the bank, with stepped bases, the overlap is that of polygons drawn
    slice by slice within 0.1 %."""
    offset, rise = 4.0, 0.4
    specs = [
        replace(
            ground_wall(
                (0, z + 4, z, offset * i * rise),
                (40, z + 2, z - 1.5, offset * i * rise - 1),
                existing_slope=rise,
                graded_in_front_m=0.0,
                graded_behind_m=ft(12),
                back=z + 30,
            ),
            name=name,
        )
        for i, (name, z) in enumerate((("low", 0.0), ("up", 2.0)))
    ]
    alone = excavated(specs)
    joined = join(alone, tiers(("low", "up", offset)))
    low, up = (each.wall for each in alone)
    assert min(len(each.layout.base_runs) for each in (low, up)) > 1
    count, area = 800, 0.0
    for i in range(count):
        station = (i + 0.5) * low.length_m / count
        here = Slice(low.layout, DETAIL, low.digging.cut_slope, station)
        there = Slice(up.layout, DETAIL, up.digging.cut_slope, station)
        moved = translate(there.opened, xoff=ft(offset))
        earth = here.ground.below(-FAR, FAR)
        area += earth.intersection(here.opened).intersection(moved).area
    assert area > count * 0.1
    assert joined.shared_cut_m3 == pytest.approx(area * low.length_m / count, rel=1e-3)


@pytest.mark.parametrize("existing", [0.0, -1.25])
def test_join_leaves_nothing_standing_where_the_upper_trench_begins(existing: float) -> None:
    """Finished ground of the lower wall that ends just where the upper trench begins, 5.5 ft
    behind the lower face, ends in the upper wall's earthwork, over ground that is dug and over
    ground below both trenches."""
    low, up = (replace(each, graded_in_front_m=0.0) for each in level_tiers(existing))
    alone = excavated([replace(low, graded_behind_m=ft(5.5)), up])
    assert "behind" in [left.side for left in alone[0].earth.left_standing]
    found = join(alone, tiers(("low", "up", 6))).walls[0].left_standing
    assert "behind" not in [left.side for left in found]


def test_join_says_nothing_of_topsoil_that_is_not_shared() -> None:
    """Two cuts near each other, with ground between them that neither touches: each strips its
    own, and there is nothing to take off."""
    topsoil = Topsoil(strip_m=inch(4), replace_m=inch(4))
    specs = [on_bank("low", 0, 0), on_bank("up", 9, 4)]
    for wall in join(excavated(specs, topsoil=topsoil), tiers(("low", "up", 9))).walls:
        assert wall.one_cut_with
        assert not [line for line in wall.how if "other wall" in line]
