"""Excavation and backfill of one wall, by hand: sections, slopes, grading, topsoil.

Unless a test says otherwise: units 18 x 8 x 12 in, no setback, no cap, pad 24 x 6 in with 6 in in
front, stone 12 in wide up to the top, 1:1 cut without working room, ends against a structure. Areas
are in ft2 per ft of wall, levels in ft.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.errors import LayoutFaultsError
from service.core.ground.earthwork import farthest_m
from service.core.ground.excavation import asked_digging, dig_out
from service.core.ground.trench import Digging, dig_trench
from service.core.job.section import Section
from service.core.job.spec import LevelFrom, WallSpec
from service.core.job.topsoil import Topsoil
from service.core.measure import METRIC, US
from tests.given.earth import (
    EARTH_RULES,
    FOOT_DEEP,
    SIX_HIGH,
    dig_section,
    dug,
    ground_wall,
    per_foot,
    soil,
    to_ft3,
)
from tests.given.set_walls import SET_BLOCKS, UPRIGHT
from tests.given.walls import (
    ft,
    inch,
    laid,
    level_wall,
    section,
    system,
    to_ft,
    to_inch,
    to_yd3,
    unit,
)

EXACT = 1e-9
# tests/reference/earthwork.toml: S1, a 2:1 hillside, level from 3.33 ft behind the face, 2.667 up
S1_GROUND = ((-7, 0), (-2, 0), (10 / 3, 8 / 3), (10, 8 / 3))
S1 = ground_wall(
    (0, 8 / 3, 0, 0), (40, 8 / 3, 0, 0), section_pairs=S1_GROUND, graded_in_front_m=ft(5)
)


def terrace(
    top: float = 4,
    existing: float = 0,
    *,
    back: float | None = None,
    back_slope: float = 0.0,
    graded_behind_m: float | None = None,
    graded_in_front_m: float | None = None,
) -> WallSpec:
    """40 ft of wall with a base 1 ft below the front grade of 0, on level ground."""
    return ground_wall(
        (0, top, 0, existing),
        (40, top, 0, existing),
        back=back,
        back_slope=back_slope,
        graded_behind_m=graded_behind_m,
        graded_in_front_m=graded_in_front_m,
    )


def codes(error: LayoutFaultsError) -> list[tuple[str, tuple[str | int, ...]]]:
    """Code and path of every fault."""
    return [(fault.code, fault.at) for fault in error.faults]


def test_dig_out_backfills_soil_under_stone_that_begins_at_a_joint_on_front_grade() -> None:
    """The base course lies 8 in under a level front grade, so that grade is a joint: stone that
    begins there leaves 1 ft x 2/3 ft behind the base course to soil, on each foot of wall."""
    pad, buried = (
        dug(
            terrace(existing=4, graded_in_front_m=ft(5)),
            dig_section(minimum=inch(8), starts_at=starts_at),
        )
        for starts_at in ("pad", "buried_course")
    )
    assert per_foot(buried.cut_m3) == pytest.approx(per_foot(pad.cut_m3))
    assert per_foot(buried.backfill_m3 - pad.backfill_m3) == pytest.approx(2 / 3)


def test_dig_out_is_none_without_existing_ground() -> None:
    """No earthwork is quoted where the ground was not measured."""
    detail = dig_section()
    assert dig_out(laid(level_wall()), asked_digging(detail, soil(), EARTH_RULES), US) is None


def test_dig_out_gives_the_cut_of_set_s1() -> None:
    """S1: 11.777778 ft2 of cut per foot, 17.4486 yd3 over 40 ft."""
    earth = dug(S1, dig_section(), SET_BLOCKS)
    assert per_foot(earth.cut_m3) == pytest.approx(11 + 7 / 9, abs=1e-6)
    assert to_yd3(earth.cut_m3) == pytest.approx(17.4486, abs=5e-5)


def test_dig_out_gives_the_backfill_of_set_s1() -> None:
    """S1: 5.138889 ft2 behind and 0.333333 in front; nothing beyond trench front and top of cut."""
    earth = dug(S1, dig_section(), SET_BLOCKS)
    assert per_foot(earth.backfill_m3) == pytest.approx(5.138889 + 0.333333, abs=1e-6)
    assert earth.fill_m3 == 0
    assert earth.left_standing == ()


def test_dig_out_keeps_the_earth_of_set_s1() -> None:
    """S1: final less existing = structure + backfill - cut = 1.361111 ft2."""
    earth = dug(S1, dig_section(), SET_BLOCKS)
    structure = 10 / 3 + 10 / 3 + 1
    assert structure + per_foot(earth.backfill_m3 - earth.cut_m3) == pytest.approx(
        1.361111, abs=1e-6
    )


def test_dig_out_reaches_the_top_of_the_cut_of_set_s1() -> None:
    """S1: the 1:1 cut from 2 ft behind the plan line meets ground 10/3 ft higher, 16/3 behind it;
    in front the work ends where finished ground meets the hillside, 2 ft before it."""
    earth = dug(S1, dig_section(), SET_BLOCKS)
    assert to_ft(farthest_m(earth, "behind", 0, ft(40))) == pytest.approx(16 / 3, rel=EXACT)
    assert to_ft(farthest_m(earth, "front", 0, ft(40))) == pytest.approx(2, rel=EXACT)
    assert to_ft(earth.deepest_m) == pytest.approx(8 / 3 + 2 / 3 + 0.5, rel=EXACT)


def test_dig_out_digs_trench_floor_and_slope_by_hand() -> None:
    """Level ground, base 1 ft deep: trench 2 x 1.5, floor 0.5 x 1, slope 1 x 1 / 2: 4 ft2."""
    earth = dug(terrace(graded_behind_m=ft(12)), FOOT_DEEP, SIX_HIGH)
    assert per_foot(earth.cut_m3) == pytest.approx(4, rel=EXACT)
    # in front 0.5 x 1; behind the stone 1 ft wide, 5 ft high, less the slope's 0.5
    assert per_foot(earth.backfill_m3) == pytest.approx(0.5 + 4.5, rel=EXACT)


def test_dig_out_quotes_the_fill_of_a_terrace_on_level_ground() -> None:
    """40 ft, 4 ft high, graded 12 ft behind: 4 x (12 - 3) ft2 = 53.333 yd3 beyond the cut."""
    earth = dug(terrace(graded_behind_m=ft(12)), FOOT_DEEP, SIX_HIGH)
    assert to_yd3(earth.fill_m3) == pytest.approx(53.333333, abs=1e-6)
    (left,) = earth.left_standing
    assert left.side == "behind"
    assert to_ft(left.height_m) == pytest.approx(4, rel=EXACT)


def test_dig_out_fills_around_stone_that_leans_over_the_cut() -> None:
    """Upright cut, courses that set back 1 in: of 10 x 4 ft2 behind it the eight courses above the
    ground take 6 in x 2 to 9 in."""
    leaning = system(standard=unit(height=inch(6)), cap=None, setback=inch(1))
    detail = dig_section(minimum=inch(12), cut_slope=0.0)
    earth = dug(terrace(graded_behind_m=ft(12)), detail, leaning)
    taken = 0.5 * sum(range(2, 10)) / 12
    assert earth.cut_slope == 0.0
    assert per_foot(earth.fill_m3) == pytest.approx(10 * 4 - taken, rel=EXACT)


def test_dig_out_fills_once_under_stone_that_leans_out_over_low_ground() -> None:
    """The same on ground at -9 in, so that all but the base course stand over it: of 10 x 4.75 ft2
    they take 6 in x 1 to 9 in."""
    leaning = system(standard=unit(height=inch(6)), cap=None, setback=inch(1))
    low = terrace(existing=-0.75, graded_behind_m=ft(12), graded_in_front_m=0.0)
    earth = dug(low, dig_section(minimum=inch(12), cut_slope=0.0), leaning)
    taken = 0.5 * sum(range(1, 10)) / 12
    assert per_foot(earth.fill_m3) == pytest.approx(10 * 4.75 - taken, rel=EXACT)


def test_dig_out_refuses_a_terrace_without_a_stated_depth() -> None:
    """Finished ground that doesn't meet existing ground within 50 ft needs a distance."""
    with pytest.raises(LayoutFaultsError) as caught:
        dug(terrace(), FOOT_DEEP, SIX_HIGH)
    assert codes(caught.value) == [("grading-distance-needed", ("graded_behind",))]
    assert "50 ft" in caught.value.faults[0].message


def test_dig_out_names_both_sides_that_need_a_distance() -> None:
    """Front and back are found in one pass."""
    with pytest.raises(LayoutFaultsError) as caught:
        dug(terrace(existing=2), FOOT_DEEP, SIX_HIGH)
    assert [at for _, at in codes(caught.value)] == [("graded_in_front",), ("graded_behind",)]


def test_dig_out_tells_how_far_ground_in_front_stands_over_or_under_the_finished_grade() -> None:
    """Existing ground at 1 ft, graded 3 ft in front at the front grade of 0: a foot of it is left
    standing there; ground at -1 ft leaves a foot of finished ground over it."""
    for existing in (1.0, -1.0):
        wall = terrace(existing=existing, graded_behind_m=ft(12), graded_in_front_m=ft(3))
        (front,) = (x for x in dug(wall, FOOT_DEEP, SIX_HIGH).left_standing if x.side == "front")
        assert to_ft(front.height_m) == pytest.approx(-existing, rel=EXACT)


@pytest.mark.parametrize(("grounds", "station"), [((1, 2), 40), ((2, 1), 0)])
def test_dig_out_tells_where_most_is_left_standing(
    grounds: tuple[float, float], station: float
) -> None:
    """Existing ground between 1 ft and 2 ft along 40 ft of wall, graded 3 ft in front at 0: most is
    left at its higher end, 2 ft."""
    start, finish = ((at, 4, 0, ground) for at, ground in zip((0, 40), grounds, strict=True))
    wall = ground_wall(start, finish, graded_behind_m=ft(12), graded_in_front_m=ft(3))
    (front,) = (x for x in dug(wall, FOOT_DEEP, SIX_HIGH).left_standing if x.side == "front")
    found = to_ft(front.station_m), to_ft(front.height_m)
    assert found == pytest.approx((station, -2), rel=EXACT)


def test_dig_out_carries_nothing_where_the_distance_ends_inside_the_cut() -> None:
    """Graded 2 ft behind, inside the cut that ends at 3 ft: no fill, 4 ft left standing."""
    earth = dug(terrace(graded_behind_m=ft(2)), FOOT_DEEP, SIX_HIGH)
    assert earth.fill_m3 == 0
    assert per_foot(earth.backfill_m3) == pytest.approx(5, rel=EXACT)
    assert [to_ft(left.height_m) for left in earth.left_standing] == [pytest.approx(4)]


def test_dig_out_ends_grading_early_where_grounds_meet() -> None:
    """A yard that falls 4:1 from 1 ft over level ground meets it 4 ft behind the top course."""
    wall = terrace(back=1, back_slope=-0.25, graded_behind_m=ft(40))
    earth = dug(wall, FOOT_DEEP, SIX_HIGH)
    # behind the top course at 1 ft; beyond the cut at 3 ft a triangle 2 ft long, 0.5 ft high
    assert per_foot(earth.fill_m3) == pytest.approx(0.5, rel=EXACT)
    assert to_ft(farthest_m(earth, "behind", 0, 0)) == pytest.approx(5, rel=EXACT)
    assert earth.left_standing == ()


def test_dig_out_fills_the_cut_back_to_existing_where_finished_ground_has_met_it() -> None:
    """Finished ground at the existing level behind the wall ends there: the cut is filled to the
    existing 2:1 bank behind it, not along a level line inside it."""
    wall = ground_wall((0, 3, 0, 2.5), (40, 3, 0, 2.5), existing_slope=0.5, back=3)
    earth = dug(replace(wall, graded_in_front_m=0.0), FOOT_DEEP, SIX_HIGH)
    # E(1) = 3 = back grade at the rear of the units; cut from (2, -1), slope class C, 1.5:1
    reach = 2 + 1.5 * 4.5 / (1 - 0.75)  # E(2) = 3.5 lies 4.5 ft over the floor
    assert to_ft(farthest_m(earth, "behind", 0, 0)) == pytest.approx(reach, rel=EXACT)
    # soil behind the stone: bank over cut face, a triangle of base `reach - 2`, 4.5 ft at x = 2
    # and above the stone (top at 3) the bank from 1 to 2: 0.25
    soil_behind = 4.5 * (reach - 2) / 2 + 0.25
    assert per_foot(earth.backfill_m3) == pytest.approx(soil_behind + 0.5, rel=EXACT)


def test_dig_out_needs_no_grading_where_the_front_grade_is_the_existing_one() -> None:
    """Front grade and a 4:1 hillside meet at the plan line: the trench before it is filled back to
    the hillside, and nothing is graded beyond."""
    wall = ground_wall((0, 4, 0, 0), (40, 4, 0, 0), existing_slope=0.25, graded_behind_m=0.0)
    earth = dug(wall, FOOT_DEEP, SIX_HIGH)
    # before the face 0.5 x 1 less 0.5 x 0.125 / 2; behind the stone from x = 2 to the top of the
    # cut at x = 4 the height 4 - (x - 3)
    assert per_foot(earth.backfill_m3) == pytest.approx(0.5 - 0.03125 + 8, rel=EXACT)
    assert earth.fill_m3 == 0
    assert to_ft(farthest_m(earth, "front", 0, 0)) == pytest.approx(0.5, rel=EXACT)


def test_dig_out_cuts_in_front_down_to_the_front_grade() -> None:
    """A 4:1 bank 1 ft over the front grade at the plan line is cut back to where they meet."""
    wall = ground_wall((0, 4, 0, 1), (40, 4, 0, 1), existing_slope=0.25, back=1)
    earth = dug(replace(wall, graded_behind_m=0.0), FOOT_DEEP, SIX_HIGH)
    level = dug(replace(wall, graded_behind_m=0.0, graded_in_front_m=0.0), FOOT_DEEP, SIX_HIGH)
    # from the trench front at -0.5, where the bank is 0.875 high, to -4
    assert per_foot(earth.cut_m3 - level.cut_m3) == pytest.approx(0.875 * 3.5 / 2, rel=EXACT)
    assert to_ft(farthest_m(earth, "front", 0, 0)) == pytest.approx(4, rel=EXACT)


def test_dig_out_cuts_behind_where_finished_ground_lies_lower() -> None:
    """Back grade 1 ft under level ground, graded 10 ft: cut behind the top of the cut as well."""
    wall = terrace(top=3, existing=2, back=1, graded_behind_m=ft(10), graded_in_front_m=0.0)
    earth = dug(wall, FOOT_DEEP, SIX_HIGH)
    # trench 2 x 3.5, floor 0.5 x 3, slope from (2, -1) to (5, 2); over it finished ground at 1
    # takes the triangle between x = 4 and 5; beyond it 5 ft x 1 ft
    assert per_foot(earth.cut_m3) == pytest.approx(7 + 1.5 + 4.5 + 0.5 + 5, rel=EXACT)
    # behind the stone from x = 2: a triangle 2 ft long and high; in front 0.5 x 1
    assert per_foot(earth.backfill_m3) == pytest.approx(2 + 0.5, rel=EXACT)


def test_dig_out_makes_up_low_ground_under_the_pad() -> None:
    """Ground 1 ft under the trench bottom: nothing is cut, pad and floor stand on backfill."""
    wall = terrace(existing=-2.5, graded_behind_m=0.0, graded_in_front_m=0.0)
    earth = dug(wall, FOOT_DEEP, SIX_HIGH)
    assert earth.cut_m3 == 0
    # under the pad 2 x 1, under the floor 0.5 x 1.5, in front 0.5 x 1; the cut ends at the stone
    assert per_foot(earth.backfill_m3) == pytest.approx(2 + 0.75 + 0.5, rel=EXACT)


@pytest.mark.parametrize(("existing", "slope"), [(3.49, 1.0), (3.5, 1.5)])
def test_dig_out_takes_the_class_slope_from_five_feet_on(existing: float, slope: float) -> None:
    """Trench bottom at -1.5: at 5 ft to the top of the cut class C asks for 1 1/2:1."""
    wall = terrace(existing=existing, back=existing, graded_in_front_m=0.0)
    earth = dug(wall, FOOT_DEEP, SIX_HIGH)
    over = existing + 1
    assert earth.cut_slope == slope
    assert per_foot(earth.cut_m3) == pytest.approx(
        2 * (over + 0.5) + 0.5 * over + slope * over**2 / 2, rel=EXACT
    )


@pytest.mark.parametrize("slope", [1.5, 2.0])
def test_dig_out_keeps_a_section_that_is_as_flat_as_its_class(slope: float) -> None:
    """A section at 1 1/2:1 or 2:1 stays so in class C, however deep."""
    wall = terrace(existing=4, graded_in_front_m=0.0)
    earth = dug(wall, dig_section(minimum=inch(12), cut_slope=slope), SIX_HIGH)
    assert (earth.cut_slope, earth.slope_basis) == (slope, "section")


def test_dig_out_says_how_topsoil_is_stripped_where_none_is_put_back() -> None:
    """4 in off, nothing back: the working says both."""
    topsoil = Topsoil(strip_m=inch(4), replace_m=0.0)
    earth = dug(terrace(graded_behind_m=ft(12)), FOOT_DEEP, SIX_HIGH, topsoil=topsoil)
    assert earth.replaced_m3 == 0.0
    (words,) = (line for line in earth.how if "topsoil" in line)
    assert "topsoil 0.333333 ft off" in words
    assert "0 ft back" in words


def test_dig_out_slopes_by_class_where_the_section_is_silent() -> None:
    """Without cut_slope the soil class decides at any depth."""
    detail = dig_section(minimum=inch(12), cut_slope=None)
    earth = dug(terrace(graded_behind_m=ft(12)), detail, SIX_HIGH, of=soil(class_="A"))
    assert (earth.cut_slope, earth.slope_basis) == (0.75, "soil class")


def test_dig_out_holds_one_slope_for_the_whole_wall() -> None:
    """5 ft deep at one end alone: the other end is sloped flatter as well."""
    wall = ground_wall((0, 4, 0, 1), (40, 4, 0, 4), back=1, graded_behind_m=0.0)
    earth = dug(replace(wall, graded_in_front_m=0.0), FOOT_DEEP, SIX_HIGH)
    # the floor ends at 2 ft, the ground lies 2 ft over it at the start: 1.5 x 2 more
    assert to_ft(farthest_m(earth, "behind", 0, 0)) == pytest.approx(5, rel=EXACT)


def test_dig_trench_gives_the_trench_of_the_trade() -> None:
    """6 in of pad under one buried 6 in course: 12 in deep, 24 in wide, 6 in before the face."""
    base: LevelFrom = "base"
    detail = section()
    spec = level_wall(exposed=inch(24), level_from=base)
    layout = laid(spec, SIX_HIGH, detail)
    trench = dig_trench(layout, _digging(detail), layout.lowest)
    assert to_inch(trench.front_m) == pytest.approx(-6)
    assert to_inch(trench.rear_m - trench.front_m) == pytest.approx(24)
    assert to_inch(spec.profile[0].front_grade_m - trench.bottom_m) == pytest.approx(12)


def test_dig_trench_contains_overdig_and_working_room() -> None:
    """Overdig deepens the trench and takes it back; working room lies behind the farther one."""
    detail = section(overdig=inch(3), rear_extension=inch(18))
    layout = laid(level_wall(), UPRIGHT, detail)
    trench = dig_trench(layout, _digging(detail, working_room=inch(5)), layout.lowest)
    assert to_inch(trench.pad_top_m - trench.bottom_m) == pytest.approx(9)
    assert to_inch(trench.rear_m) == pytest.approx(12 + 18 + 3)
    assert to_inch(trench.floor_m) == pytest.approx(12 + 18 + 3 + 5)


def _digging(detail: Section, working_room: float = 0.0) -> Digging:
    return Digging(
        pad=detail.leveling_pad,
        drainage=detail.drainage,
        working_room_m=working_room,
        cut_slope=1.0,
        topsoil=Topsoil(strip_m=0.0, replace_m=0.0),
        grade_within_m=ft(50),
    )


def test_dig_out_refuses_ground_as_steep_as_the_cut() -> None:
    """A cut of 1:1 never meets a bank of 1:1."""
    wall = ground_wall((0, 4, 0, 1), (40, 4, 0, 1), existing_slope=1.0, graded_behind_m=0.0)
    with pytest.raises(LayoutFaultsError) as caught:
        dug(wall, FOOT_DEEP, SIX_HIGH)
    assert codes(caught.value) == [("cut-never-meets-ground", ("existing_slope",))]


def test_dig_out_is_the_same_in_both_unit_sets() -> None:
    """The unit set changes words alone."""
    us, metric = (dug(S1, dig_section(), SET_BLOCKS, units=units) for units in (US, METRIC))
    assert replace(us, how=()) == replace(metric, how=())
    assert "17.4486 yd3 bank" in us.how[1]
    assert "13.3404 m3 bank" in metric.how[1]


def test_dig_out_counts_front_soil_before_the_cap() -> None:
    """Top at 4 ft, cap 4 in, front grade 2 in under the top: two courses from 2 ft 8 in on.

    In front 6 in x 14 in of soil, of which 2 in stand before the cap. Behind, stone up to the top;
    from 2 ft on the slope rises 14 in under finished ground 16 in over the floor.
    """
    capped = system(standard=unit(height=inch(6)), setback=0.0)
    grade = 3 + 10 / 12
    spec = ground_wall(
        (0, 4, grade, grade), (40, 4, grade, grade), graded_in_front_m=0.0, graded_behind_m=0.0
    )
    earth = dug(spec, dig_section(minimum=inch(12)), capped)
    front, slope = 0.5 * 14 / 12, 16 / 12 * 14 / 12 - (14 / 12) ** 2 / 2
    assert to_ft3(earth.backfill_m3) == pytest.approx(40 * (front + slope), rel=1e-9)
