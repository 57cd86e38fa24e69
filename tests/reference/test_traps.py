"""Mistakes of geometry and waste that change money: each test fails where the mistake is made.

The numbers tell the traps apart; money's own stand in test_money_relations.py. Each test names
the right value and the one that the mistake gives.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.core.cautions.facts import wall_facts
from service.core.ground.trench import Digging, dig_trench
from service.core.job.spec import TurnSide, WallSpec
from service.core.job.topsoil import NO_TOPSOIL
from service.core.layout import plan
from service.core.measure import US
from service.core.takeoff.sheets import LaidLayer, measure_sheets
from tests.given.reinforcement import ITEM, MATERIALS, layer, reinforced
from tests.given.set_walls import Q1, UPRIGHT
from tests.given.walls import (
    cap_count,
    entry,
    faces_in,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    line,
    quarter_circle,
    section,
    standard_by_course,
    straight,
    system,
    taken_off,
    to_ft2,
    to_inch,
    unit,
    wall,
)

EXACT = 1e-9
CUBIC_FOOT = 0.3048**3
BARE = system(cap=None)


def test_trap_2_the_buried_course_is_counted() -> None:
    """4 ft exposed in 8 in courses is 7 courses with the buried one, not 48/8 = 6."""
    assert len(laid(level_wall(), BARE).courses) == 7


def test_trap_3_embedment_goes_by_height_and_slope_not_by_one_course() -> None:
    """7 ft exposed over a 2:1 slope: 84/7 = 12 in must be buried, so 16, not one course of 8."""
    # under the cap 80 in: 92/8 = 11.5 -> 12 courses; a minimum of 6 in alone would make 11
    detail = section(shares=((0.0, 0.05), (1 / 3, 0.1), (0.5, 1 / 7)))
    found = laid(level_wall(exposed=ft(7), front_slope=0.5), None, detail)
    assert len(found.courses) == 12
    assert to_inch(found.courses[0].elevation_m) == pytest.approx(-16, abs=1e-6)


@pytest.mark.parametrize(("side", "area_ft2"), [("outside", 58.905), ("inside", 98.175)])
def test_trap_11_a_curved_strip_is_no_arc_times_width(side: TurnSide, area_ft2: float) -> None:
    """5 ft behind 10 ft of radius is 58.905 or 98.175 ft², not 78.540 both times."""
    strip = plan.measure(quarter_circle(side, ft(10)))
    area = to_ft2(strip.strip_area_m2(0.0, strip.length_m, 0.0, ft(5)))
    assert area == pytest.approx(area_ft2, abs=5e-4)


def test_trap_7_reinforcement_is_measured_from_the_face() -> None:
    """A layer of 5 ft is cut 5 ft long, its end 5 ft behind the face, not behind the 12 in unit:
    200 ft2 on 40 ft, not 240; the cut's floor ends there too."""
    sheet, _ = _one_layer(level_wall())
    assert to_ft2(sheet.area_m2) == pytest.approx(200, rel=EXACT)
    digging = Digging(
        pad=section().leveling_pad,
        drainage=section().drainage,
        working_room_m=0.0,
        cut_slope=1.0,
        topsoil=NO_TOPSOIL,
        grade_within_m=ft(50),
    )
    layout = laid(level_wall(), UPRIGHT)
    assert dig_trench(layout, digging, layout.lowest, ft(5)).floor_m == pytest.approx(ft(5))


def test_trap_9_reinforcement_is_cut_from_rolls() -> None:
    """25 ft x 5.5 ft x 6 layers are 825 ft2, less than a roll of 6 x 150 ft holds; but 5 pieces a
    layer of which a roll gives 27 are 30: two rolls."""
    spec = level_wall(ft(25))
    layout = laid(spec, UPRIGHT)
    layers = reinforced(layout, *(layer(layout, course, ft(5.5)) for course in range(2, 8)))
    found = line(taken_off(spec, blocks=UPRIGHT, materials=MATERIALS, reinforcement=[layers]), ITEM)
    assert to_ft2(found.net) == pytest.approx(825, rel=EXACT)
    assert found.order == 2


def test_trap_9_stepped_layers_begin_their_own_pieces() -> None:
    """Three layers of 8 ft that step up with the base take 2 pieces each, not ceil(24/6) = 4."""
    layout = laid(level_wall(), UPRIGHT)
    layers = [layer(layout, 2 + i, from_m=ft(8 * i), to_m=ft(8 * i + 8)) for i in range(3)]
    found = measure_sheets(layout, layers, ft(6))
    assert sum(sum(each.pieces) for each in found) == 6


def test_trap_10_reinforcement_lies_double_at_an_outside_corner() -> None:
    """Legs of 20 and 10 ft: 25 ft2 more per layer of 5 ft than the 125 ft2 of ground behind them,
    and 3 in of soil between the sheets."""
    spec = level_wall(legs("outside", 90, ft(20), ft(10)))
    sheet, how = _one_layer(spec)
    ground = laid(spec, UPRIGHT).plan.strip_area_m2(0.0, ft(30), 0.0, ft(5))
    assert to_ft2(sheet.area_m2 - ground) == pytest.approx(25, rel=EXACT)
    assert "3 in of soil between sheets" in how


@pytest.mark.parametrize(("side", "area_ft2"), [("outside", 58.905), ("inside", 98.175)])
def test_trap_11_curved_reinforcement_is_no_arc_times_length(
    side: TurnSide, area_ft2: float
) -> None:
    """A layer of 5 ft on 10 ft of radius is 58.905 or 98.175 ft2, not 78.540 both times."""
    sheet, _ = _one_layer(level_wall(quarter_circle(side, ft(10))))
    assert to_ft2(sheet.area_m2) == pytest.approx(area_ft2, abs=5e-4)


def _one_layer(spec: WallSpec) -> tuple[LaidLayer, str]:
    """A layer of 5 ft under the second course of an upright wall, and how it was counted."""
    layout = laid(spec, UPRIGHT)
    one = layer(layout, 2)
    (sheet,) = measure_sheets(layout, [one], ft(6))
    found = taken_off(
        spec, blocks=UPRIGHT, materials=MATERIALS, reinforcement=[reinforced(layout, one)]
    )
    return sheet, " ".join(line(found, ITEM).how)


def test_trap_12_setback_shrinks_each_course_of_an_outside_curve() -> None:
    """Six courses on 120 in with 1 in setback are 1107.411 in, not 1130.973."""
    spec = level_wall(quarter_circle("outside", inch(120)), inch(40))
    found = laid(spec, BARE, section(minimum=inch(8)))
    assert sum(faces_in(found)) == pytest.approx(1107.411, abs=5e-4)


def test_trap_13_an_outside_curve_is_tightest_at_its_top_course() -> None:
    """20 ft at the base is 19.5 ft at the 7th course: under a minimum of 19.75 ft."""
    strict = system(minimum_outside_radius=ft(19.75))
    found = laid(level_wall(quarter_circle("outside")), strict)
    fact = wall_facts(found, section(), US)["radius_below_minimum"]
    assert fact.value == 1
    assert "19.5 ft" in fact.words
    assert "19.75 ft" in fact.words
    enough = system(minimum_outside_radius=ft(19.5))
    loose = laid(level_wall(quarter_circle("outside")), enough)
    assert "radius_below_minimum" not in wall_facts(loose, section(), US)


def test_trap_13_an_inside_curve_is_tightest_at_its_base_course() -> None:
    """Inside, 20 ft at the base is under a minimum of 20.25 ft, though the top has 20.5 ft."""
    strict = system(minimum_inside_radius=ft(20.25))
    found = laid(level_wall(quarter_circle("inside")), strict)
    fact = wall_facts(found, section(), US)["radius_below_minimum"]
    assert "20 ft" in fact.words
    assert "20.25 ft" in fact.words


def test_trap_14_cut_units_are_rounded_course_by_course() -> None:
    """Six arcs of 10.47 units are 66 units, not ceil(62.83) = 63."""
    spec = level_wall(quarter_circle("outside", inch(120)), inch(40))
    found = laid(spec, system(cap=None, setback=0.0), section(minimum=inch(8)))
    assert sum(standard_by_course(found)) == 66


def test_trap_15_caps_go_by_the_top_arc() -> None:
    """On 232 in of radius the top arc of 226 in takes 20 caps, where the base takes 21 units."""
    # 232·π/2 = 364.4/18 = 20.25; 226·π/2 = 355.0/18 = 19.72
    found = laid(level_wall(quarter_circle("outside", inch(232))))
    assert standard_by_course(found)[0] == 21
    assert cap_count(found) == 20


def test_trap_15_each_step_of_the_top_shows_a_cap_return() -> None:
    """24 ft with one step of the top take 9 + 8 caps, not 288/18 = 16."""
    profile = (
        entry(0.0, inch(48)),
        entry(ft(12), inch(48)),
        entry(ft(12), inch(40)),
        entry("end", inch(40)),
    )
    assert cap_count(laid(wall((straight(ft(24)),), profile))) == 17


def test_trap_16_a_sloped_top_is_built_in_courses() -> None:
    """2 to 4 ft over 20 ft take 66.667 ft² of courses, not the trapezoid's 60."""
    spec = wall((straight(ft(20)),), (entry(0.0, ft(2)), entry("end", ft(4))))
    found = laid(spec, BARE, section(minimum=0.0, shares=((0.0, 0.0),)))
    assert to_ft2(found.face_area_m2) == pytest.approx(200 / 3, rel=EXACT)
    assert to_ft2(found.exposed_area_m2) == pytest.approx(60, rel=EXACT)


def test_trap_17_the_pad_is_wider_than_the_unit() -> None:
    """12 in deep units stand on 24 in of pad: 40 ft³ under 40 ft, not 20."""
    assert line(taken_off(level_wall()), "base_stone").net == pytest.approx(
        40 * CUBIC_FOOT, rel=EXACT
    )


def test_trap_24_cores_are_filled() -> None:
    """135 units with 0.25 ft³ of void take 33.75 ft³ of stone beside the drainage."""
    blocks = system(standard=unit(void_m3=0.25 * CUBIC_FOOT), cap=None)
    hollow = section(core_fill_item="drain_stone", stops_below_top=0.0)
    solid = section(stops_below_top=0.0)
    filled, empty = (
        line(taken_off(Q1, blocks=blocks, detail=detail), "drain_stone").net
        for detail in (hollow, solid)
    )
    assert filled - empty == pytest.approx(33.75 * CUBIC_FOOT, rel=1e-8)


def test_trap_27_waste_is_added_once() -> None:
    """135 x 1.05 is 142, not 135 x 1.05² = 149; 14.8148 x 1.1 is 16.5 yd³, not 18."""
    detail = section(waste={"units": "0.05", "stone": "0.10"})
    assert line(taken_off(Q1, blocks=BARE, detail=detail), "block").order == 142
    pad = line(taken_off(level_wall(ft(400)), detail=detail), "base_stone")
    assert pad.order == Decimal("16.5")


def test_trap_28_waste_comes_before_pallets() -> None:
    """120 units fill 3 pallets of 40; with 5 % waste 126 need 4, and 126 are paid, not 160."""
    blocks = system(standard=unit(per_pallet=40), cap=None)
    # 15 ft, 12 courses of 10: 84 in exposed and 12 buried
    found = line(
        taken_off(
            level_wall(ft(15), ft(7)), blocks=blocks, detail=section(waste={"units": "0.05"})
        ),
        "block",
    )
    assert found.net == 120
    assert found.order == 126
    assert found.packs == (4, "pallet")
