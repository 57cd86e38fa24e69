"""Units and waste, packs and pallets, pipe, fabric, adhesive: what is bought, by hand.

Unless a test says otherwise: units 18 x 8 x 12 in, setback 1 in, cap 4 in, pad 24 x 6 in,
drainage stone 12 in wide that stops 8 in below the top. Stone volumes: see test_stone.py.
Walls Q1 and Q2 are rows of tests/reference/geometry.toml.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.spec import Ends, ProfileEntry, WallSpec
from tests.given.drained import ADHESIVE, FABRIC, PIPE
from tests.given.set_walls import Q1, SET_BLOCKS
from tests.given.walls import (
    CAP,
    CORNER_UNIT,
    corner,
    curve,
    entry,
    ft,
    inch,
    legs,
    level_wall,
    line,
    quarter_circle,
    section,
    straight,
    system,
    taken_off,
    to_ft,
    to_ft2,
    unit,
    wall,
)

EXACT = 1e-9
POUND = 0.45359237


FULL = section(
    stops_below_top=0.0,
    core_fill_item="drain_stone",
    pipe=PIPE,
    filter_fabric=FABRIC,
    cap_adhesive=ADHESIVE,
)


def stepped(*fronts_in: float, length_ft: float = 12, top_in: float = 48) -> WallSpec:
    """A straight wall with a level top and one stretch of ground after another."""
    profile: list[ProfileEntry] = []
    for index, front in enumerate(fronts_in):
        ends = (ft(index * length_ft), ft((index + 1) * length_ft))
        profile += [entry(end, inch(top_in), inch(front)) for end in ends]
    return wall((straight(ft(length_ft * len(fronts_in))),), tuple(profile))


def test_take_off_counts_the_units_of_the_forty_foot_wall() -> None:
    """189 units and 27 caps net; without waste the order is the net."""
    found = taken_off(level_wall())
    assert line(found, "block").net == line(found, "block").order == 189
    assert line(found, "cap").net == line(found, "cap").order == 27
    assert line(found, "block").order_unit == "each"


def test_take_off_counts_corner_units_apart() -> None:
    """An outside right corner of 20 and 10 ft: 134 standard, 7 corner units, 20 caps."""
    found = taken_off(
        level_wall(legs("outside", 90, ft(20), ft(10))), blocks=system(corner=CORNER_UNIT)
    )
    assert [line(found, item).net for item in ("block", "corner", "cap")] == [134, 7, 20]


def test_take_off_says_how_many_units_lie_in_which_courses() -> None:
    """Courses are numbered from the lowest, 1, to the highest; like ones next to each other are
    told together. Legs of 20 and 10 ft less x, x an inch more a course: 13 + 7 in course 1."""
    found = taken_off(
        level_wall(legs("outside", 90, ft(20), ft(10))), blocks=system(corner=CORNER_UNIT)
    )
    words = "course 1: 20, course 2: 19, course 3: 20, courses 4 to 6: 3 x 19, course 7: 18"
    assert line(found, "block").how[0].endswith(f"{words}; 134 in all")


def test_take_off_orders_lines_by_group_then_item() -> None:
    """Units (standard, corner, cap), stone, pipe, fabric, adhesive; inside these by item."""
    found = taken_off(
        level_wall(ends=Ends(finish="finished")),
        blocks=system(corner=CORNER_UNIT),
        detail=FULL,
    )
    assert [(each.group, each.item) for each in found.lines] == [
        ("units", "block"),
        ("units", "corner"),
        ("units", "cap"),
        ("stone", "base_stone"),
        ("stone", "drain_stone"),
        ("pipe", "drain_pipe"),
        ("pipe", "outlet_pipe"),
        ("fabric", "filter_fabric"),
        ("adhesive", "adhesive"),
    ]


def test_take_off_shows_the_arithmetic_of_each_line() -> None:
    """Every line says in words and figures how its order comes about."""
    found = taken_off(level_wall(), detail=FULL)
    assert all(each.how and all(each.how) for each in found.lines)
    assert "189" in " ".join(line(found, "block").how)


def test_take_off_orders_nothing_the_section_has_no_table_for() -> None:
    """Pipe, fabric, adhesive and core fill only where the section names them."""
    found = taken_off(level_wall())
    assert [each.item for each in found.lines] == ["block", "cap", "base_stone", "drain_stone"]


def test_take_off_measures_pipe_along_the_rear_of_the_base_course() -> None:
    """40 ft straight: 40 ft of pipe and one outlet of 4 ft."""
    found = taken_off(level_wall(), detail=section(pipe=PIPE))
    assert to_ft(line(found, "drain_pipe").net) == pytest.approx(40, rel=EXACT)
    assert to_ft(line(found, "outlet_pipe").net) == pytest.approx(4, rel=EXACT)
    assert line(found, "drain_pipe").order == 40
    assert line(found, "drain_pipe").order_unit == "ft"


def test_take_off_shortens_pipe_behind_an_outside_curve_and_corner() -> None:
    """The rear of a 12 in unit lies 12 in behind the face line: (240 - 12)·π/2 and 360 - 24 in."""
    bent = taken_off(level_wall(quarter_circle("outside")), detail=section(pipe=PIPE))
    assert line(bent, "drain_pipe").net == pytest.approx(inch(228) * math.pi / 2, rel=EXACT)
    angled = taken_off(level_wall(legs("outside", 90, ft(20), ft(10))), detail=section(pipe=PIPE))
    assert line(angled, "drain_pipe").net == pytest.approx(inch(336), rel=EXACT)


@pytest.mark.parametrize(("length_ft", "outlets"), [(40, 1), (50, 1), (51, 2), (100, 2), (120, 3)])
def test_take_off_spaces_outlets_along_the_pipe(length_ft: float, outlets: int) -> None:
    """Outlets are ceil(length / 50 ft), each 4 ft long."""
    found = taken_off(level_wall(ft(length_ft)), detail=section(pipe=PIPE))
    assert to_ft(line(found, "outlet_pipe").net) == pytest.approx(4 * outlets, rel=EXACT)


def test_take_off_gives_each_wall_its_own_outlet() -> None:
    """Two walls of 20 ft take one outlet each, though 40 ft together would take one."""
    walls = [level_wall(ft(20), name=name) for name in ("left", "right")]
    found = taken_off(*walls, detail=section(pipe=PIPE))
    assert to_ft(line(found, "outlet_pipe").net) == pytest.approx(8, rel=EXACT)


@pytest.mark.parametrize(
    ("fronts", "outlets"), [((8, 16, 24), 1), ((8, 24, 8), 2), ((24, 8, 24), 1), ((8, 16, 8), 2)]
)
def test_take_off_drains_each_low_stretch_of_the_base(
    fronts: tuple[float, ...], outlets: int
) -> None:
    """At least one outlet for each stretch of base that lies lower than what adjoins it."""
    found = taken_off(stepped(*fronts), blocks=system(cap=None), detail=section(pipe=PIPE))
    assert to_ft(line(found, "outlet_pipe").net) == pytest.approx(4 * outlets, rel=EXACT)


def test_take_off_measures_fabric_with_laps_at_top_and_bottom() -> None:
    """Wall Q1: (40 + 12 + 12) in x 40 ft = 213.33 ft², 234.67 with 10 % waste."""
    found = line(
        taken_off(
            Q1,
            blocks=SET_BLOCKS,
            detail=section(stops_below_top=0.0, filter_fabric=FABRIC, waste={"fabric": "0.10"}),
        ),
        "filter_fabric",
    )
    assert to_ft2(found.net) == pytest.approx(640 / 3, rel=EXACT)
    assert found.order == Decimal("234.67")  # 234.666… up to the increment of 0.01 ft²
    assert found.order_unit == "ft2"


def test_take_off_measures_fabric_by_the_height_of_the_stone_there() -> None:
    """Base of wall Q2: stone of 48, 40, 32 in, laps of 24 in, 12 ft each: 192 ft²."""
    found = taken_off(
        stepped(8, 16, 24),
        blocks=SET_BLOCKS,
        detail=section(stops_below_top=0.0, filter_fabric=FABRIC),
    )
    assert to_ft2(line(found, "filter_fabric").net) == pytest.approx(192, rel=EXACT)


@pytest.mark.parametrize(
    ("walls", "pieces"),
    [
        ((level_wall(),), 3),  # 2 x 40 / 30 = 2.67
        ((level_wall(ft(20), name="a"), level_wall(ft(20), name="b")), 3),  # not 2 + 2
        ((level_wall(ft(15)),), 1),  # 2 x 15 / 30 = 1 exactly
        ((level_wall(quarter_circle("outside")),), 3),  # 2 x 30.63 / 30 = 2.04
    ],
)
def test_take_off_counts_adhesive_by_beads_and_yield(
    walls: tuple[WallSpec, ...], pieces: int
) -> None:
    """Beads x cap length / yield, rounded up once over all walls."""
    found = taken_off(*walls, detail=section(cap_adhesive=ADHESIVE))
    assert line(found, "adhesive").order == pieces


def test_take_off_glues_no_cap_where_there_is_none() -> None:
    """A system without a cap takes no adhesive and has no cap line."""
    found = taken_off(level_wall(), blocks=system(cap=None), detail=section(cap_adhesive=ADHESIVE))
    assert {each.item for each in found.lines} == {"block", "base_stone", "drain_stone"}


def test_take_off_fills_cores_by_net_units_of_each_kind() -> None:
    """134 x 0.25 + 7 x 0.1 + 20 x 0.05 ft³ = 35.2 ft³, by net, not by what is ordered."""
    blocks = system(
        standard=unit(void_m3=0.25 * 0.3048**3),
        corner=unit("corner", depth=inch(9), void_m3=0.1 * 0.3048**3),
        cap=unit("cap", height=CAP.height_m, void_m3=0.05 * 0.3048**3),
    )
    found = taken_off(
        level_wall(legs("outside", 90, ft(20), ft(10))),
        blocks=blocks,
        detail=section(core_fill_item="core_stone", waste={"units": "0.10"}),
    )
    assert line(found, "core_stone").net == pytest.approx(35.2 * 0.3048**3, rel=EXACT)


def test_take_off_keeps_walls_apart_in_the_shares_by_name() -> None:
    """Shares stand in the order of the walls' names, whatever the request's order."""
    found = taken_off(level_wall(ft(20), name="b"), level_wall(ft(40), name="a"))
    assert line(found, "cap").shares == (("a", 27.0), ("b", 14.0))


def test_take_off_measures_what_work_is_counted_by() -> None:
    """The 40 ft wall: lengths, areas, volumes and counts that labor rates go by."""
    found = taken_off(level_wall(), detail=FULL)
    measured = {
        name: sum(amount for _, amount in shares) for name, shares in found.measured.items()
    }
    assert to_ft(measured["wall_length"]) == pytest.approx(40, rel=EXACT)
    assert to_ft(measured["cap_length"]) == pytest.approx(40, rel=EXACT)
    assert to_ft(measured["pipe_length"]) == pytest.approx(40, rel=EXACT)
    assert to_ft2(measured["face_area"]) == pytest.approx(560 / 3, rel=EXACT)
    assert to_ft2(measured["exposed_area"]) == pytest.approx(160, rel=EXACT)
    assert to_ft2(measured["pay_face_area"]) == pytest.approx(200, rel=EXACT)
    assert to_ft2(measured["pad_area"]) == pytest.approx(80, rel=EXACT)
    assert measured["pad_volume"] == pytest.approx(40 * 0.3048**3, rel=EXACT)
    assert measured["drainage_volume"] == pytest.approx(200 * 0.3048**3, rel=EXACT)
    assert (measured["standard_units"], measured["cap_units"], measured["outlets"]) == (189, 27, 1)


def test_take_off_measures_what_is_delivered_wall_by_wall() -> None:
    """One course of 40 and of 20 ft is 27 and 14 units; 41 x 1.05 = 43.05, so 44 of 100 lb are
    delivered, shared by what lies in each wall. Stone without a weight isn't in it."""
    found = taken_off(
        level_wall(exposed=0.0, name="a"),
        level_wall(ft(20), exposed=0.0, name="b"),
        blocks=system(standard=unit(weight_kg=100 * POUND), cap=None),
        detail=section(waste={"units": "0.05"}),
    ).measured
    assert found["standard_units"] == (("a", 27.0), ("b", 14.0))
    (_, a), (_, b) = found["delivered_mass"]
    assert [a, b] == pytest.approx([4400 * POUND * 27 / 41, 4400 * POUND * 14 / 41], rel=EXACT)


def test_take_off_measures_one_job_and_no_outlet_without_a_pipe() -> None:
    """The job is one for two walls; an outlet ends a pipe."""
    found = taken_off(level_wall(name="a"), level_wall(name="b")).measured
    assert found["job"] == (("", 1.0),)
    assert found["outlets"] == (("a", 0.0), ("b", 0.0))


def test_take_off_measures_all_units_with_corners_and_caps() -> None:
    """134 standard, 7 corner units and 20 caps are 161 to carry and to take off their pallets."""
    found = taken_off(
        level_wall(legs("outside", 90, ft(20), ft(10))), blocks=system(corner=CORNER_UNIT)
    )
    assert sum(amount for _, amount in found.measured["all_units"]) == 134 + 7 + 20


def test_take_off_names_the_corner_at_which_a_pad_does_not_meet() -> None:
    """Two outside arcs of 120 in at a corner of 110 deg meet up to 120 (1 - sin 55 deg) = 21.7 in
    behind the plan line. Units of 12 in and a pad of 9 in more meet; one of 10 in more doesn't."""
    plan = (
        curve("outside", inch(120), 60),
        corner("outside", 110),
        curve("outside", inch(120), 60),
    )
    low = level_wall(plan, inch(18))
    assert line(taken_off(low, detail=section(rear_extension=inch(9))), "base_stone").net > 0
    with pytest.raises(QuoteFaultsError) as caught:
        taken_off(low, detail=section(rear_extension=inch(10)))
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("offset-does-not-meet", ("walls", 0, "plan", 1))
    assert "pad, pipe or reinforcement" in fault.message
