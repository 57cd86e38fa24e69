"""Courses, units, caps and areas of straight and curved walls, counted by hand.

Unless a test says otherwise: units 18 x 8 x 12 in, setback 1 in, cap 4 in, embedment 6 in or 5 %.
Walls Q1 and Q2 are rows of tests/reference/geometry.toml.
"""

from __future__ import annotations

import math

import pytest

from service.core.job.spec import Ends, TurnSide
from tests.given.walls import (
    CORNER_UNIT,
    after,
    cap_count,
    corners_by_course,
    curve,
    entry,
    faces_in,
    ft,
    inch,
    laid,
    level_wall,
    quarter_circle,
    section,
    standard_by_course,
    straight,
    system,
    to_ft,
    to_ft2,
    to_inch,
    unit,
    wall,
)

EXACT = 1e-9
BARE = section(minimum=0.0, shares=((0.0, 0.0),))
SLOPED = wall((straight(ft(20)),), (entry(0.0, ft(2)), entry("end", ft(4))))


def test_lay_out_forty_feet_of_four_feet_exposed() -> None:
    """40 ft straight, 4 ft exposed: 7 courses of 27, 27 caps, 186.667, 160 and 200 ft², 5 ft."""
    # datum 48 - 4 = 44; base joint at or below -6: 44 - 7·8 = -12; 480/18 = 26.67 -> 27
    found = laid(level_wall())
    assert standard_by_course(found) == [27] * 7
    assert corners_by_course(found) == [0] * 7
    assert [round(to_inch(c.elevation_m), 6) for c in found.courses] == [
        -12, -4, 4, 12, 20, 28, 36,
    ]  # fmt: skip
    assert [c.number for c in found.courses] == [1, 2, 3, 4, 5, 6, 7]
    assert cap_count(found) == 27
    assert to_ft(found.length_m) == pytest.approx(40, rel=EXACT)
    assert to_ft2(found.face_area_m2) == pytest.approx(560 / 3, rel=EXACT)
    assert to_ft2(found.exposed_area_m2) == pytest.approx(160, rel=EXACT)
    assert to_ft2(found.pay_face_area_m2) == pytest.approx(200, rel=EXACT)
    assert to_ft(found.max_wall_height_m) == pytest.approx(5, rel=EXACT)
    assert to_ft(found.max_exposed_m) == pytest.approx(4, rel=EXACT)
    assert found.steps == ()


def test_lay_out_moves_each_course_back_by_the_setback() -> None:
    """Course k above the lowest lies k setbacks behind the plan line."""
    found = laid(level_wall())
    assert [round(to_inch(c.offset_m), 9) for c in found.courses] == [0, 1, 2, 3, 4, 5, 6]


def test_lay_out_an_outside_quarter_circle_course_by_course() -> None:
    """Outside, 20 ft radius: faces of (240 - k)·π/2 in, 21 units each, 2605.95 in x 8 in."""
    # 376.99/18 = 20.94 at the base, 367.57/18 = 20.42 at the top; Σ = 1659·π/2
    found = laid(level_wall(quarter_circle("outside")))
    assert faces_in(found) == pytest.approx([(240 - k) * math.pi / 2 for k in range(7)], rel=EXACT)
    assert standard_by_course(found) == [21] * 7
    assert to_ft2(found.face_area_m2) == pytest.approx(1659 * math.pi / 2 * 8 / 144, rel=EXACT)
    assert sum(faces_in(found)) == pytest.approx(2605.95, abs=5e-3)


def test_lay_out_an_inside_quarter_circle_course_by_course() -> None:
    """Inside, 20 ft radius: faces of (240 + k)·π/2 in; 21, then 22 units each."""
    # 376.99/18 = 20.94; 378.56/18 = 21.03; … 386.42/18 = 21.47
    found = laid(level_wall(quarter_circle("inside")))
    assert faces_in(found) == pytest.approx([(240 + k) * math.pi / 2 for k in range(7)], rel=EXACT)
    assert standard_by_course(found) == [21, 22, 22, 22, 22, 22, 22]


def test_lay_out_measures_exposed_and_pay_area_along_the_plan() -> None:
    """On a curve both areas go by the plan line: arc x 4 ft and arc x 5 ft."""
    found = laid(level_wall(quarter_circle("outside")))
    assert to_ft2(found.exposed_area_m2) == pytest.approx(40 * math.pi, rel=EXACT)
    assert to_ft2(found.pay_face_area_m2) == pytest.approx(50 * math.pi, rel=EXACT)


@pytest.mark.parametrize(("side", "caps"), [("outside", 21), ("inside", 23)])
def test_lay_out_caps_by_the_longer_edge(side: TurnSide, caps: int) -> None:
    """A curved cap leg is as long as its front (outside) or its rear edge (inside)."""
    # outside: front edge 234·π/2 = 367.57/18 = 20.42; inside: rear 258·π/2 = 405.27/18 = 22.51
    assert cap_count(laid(level_wall(quarter_circle(side)))) == caps


def test_lay_out_set_q1_without_and_with_a_cap() -> None:
    """Wall Q1: 135 units either way; with a 4 in cap, top 4 in higher: 146.667 and 120 ft²."""
    # 32 + 8 buried = 5 courses of 27; pay face 40 x 40/12 = 133.333, exposed 106.667
    bare = laid(level_wall(exposed=inch(32)), system(cap=None, setback=inch(0.75)))
    assert standard_by_course(bare) == [27] * 5
    assert bare.caps == ()
    assert to_ft2(bare.pay_face_area_m2) == pytest.approx(400 / 3, rel=EXACT)
    assert to_ft2(bare.exposed_area_m2) == pytest.approx(320 / 3, rel=EXACT)
    capped = laid(level_wall(exposed=inch(36)), system(setback=inch(0.75)))
    assert standard_by_course(capped) == [27] * 5
    assert cap_count(capped) == 27
    assert to_ft2(capped.pay_face_area_m2) == pytest.approx(440 / 3, rel=EXACT)
    assert to_ft2(capped.exposed_area_m2) == pytest.approx(120, rel=EXACT)


def test_lay_out_set_q2_with_a_stepped_base() -> None:
    """Wall Q2: pad tops 0, 8, 16 in over 12 ft each, level top: 8, 16, 24 … = 120 units."""
    # front grade 8 in over each pad top; 40, 32, 24 in exposed
    fronts = (inch(8), inch(8), inch(16), inch(16), inch(24), inch(24))
    places = (0.0, ft(12), ft(12), ft(24), ft(24), ft(36))
    profile = tuple(entry(at, inch(48), f) for at, f in zip(places, fronts, strict=True))
    found = laid(wall((straight(ft(36)),), profile), system(cap=None, setback=inch(0.75)))
    assert standard_by_course(found) == [8, 16, 24, 24, 24, 24]
    assert [(round(to_ft(s.station_m), 6), s.courses) for s in found.steps] == [(12, 1), (24, 1)]
    assert to_ft2(found.pay_face_area_m2) == pytest.approx(120, rel=EXACT)
    assert to_ft2(found.exposed_area_m2) == pytest.approx(96, rel=EXACT)
    assert to_ft2(found.face_area_m2) == pytest.approx(120, rel=EXACT)


def test_lay_out_a_sloped_top_stepped_up() -> None:
    """2 to 4 ft over 20 ft, covered: courses of 20, 20, 20, 20, 40/3, 20/3 ft = 66.667 ft²."""
    # units 14·4 + ceil(8.89) + ceil(4.44) = 56 + 9 + 5
    found = laid(SLOPED, system(cap=None), BARE)
    assert faces_in(found) == pytest.approx([240, 240, 240, 240, 160, 80], rel=EXACT)
    assert to_ft2(found.face_area_m2) == pytest.approx(200 / 3, rel=EXACT)
    assert to_ft2(found.exposed_area_m2) == pytest.approx(60, rel=EXACT)
    assert standard_by_course(found) == [14, 14, 14, 14, 9, 5]


def test_lay_out_a_sloped_top_stepped_down() -> None:
    """The same, kept below the requested top: 20, 20, 20, 40/3, 20/3 ft = 53.333 ft²."""
    lower = wall(SLOPED.plan, SLOPED.profile, top_rounding="down")
    found = laid(lower, system(cap=None), BARE)
    assert faces_in(found) == pytest.approx([240, 240, 240, 160, 80], rel=EXACT)
    assert to_ft2(found.face_area_m2) == pytest.approx(160 / 3, rel=EXACT)
    assert standard_by_course(found) == [14, 14, 14, 9, 5]


def test_lay_out_a_course_with_two_runs_rounds_each_up() -> None:
    """A course that is cut in two by a dip in the top is counted run by run."""
    # 20 ft, the middle third a course lower: top course 80 + 80 in: ceil(4.44) twice, not ceil(8.9)
    third = inch(80)
    tops = ((0.0, 32), (third, 32), (third, 24), (2 * third, 24), (2 * third, 32), (3 * third, 32))
    profile = tuple(entry(at, inch(top)) for at, top in tops)
    found = laid(wall((straight(ft(20)),), profile), system(cap=None), BARE)
    assert standard_by_course(found) == [14, 14, 14, 10]
    assert [len(c.runs) for c in found.courses] == [1, 1, 1, 2]


def test_lay_out_offsets_count_from_the_lowest_course_of_the_wall() -> None:
    """Where the base steps up on a curve, its upper part starts one setback behind."""
    # top 48, base -8 on the first 45 deg, 0 on the second (front grade 8): 7 courses;
    # course 1: 240·π/4 = 188.5/18 = 10.47 -> 11, then (240 - k)·π/2, 21 each
    half = curve("outside", ft(20), 45)
    profile = (
        entry(0.0, inch(48)),
        entry(after(1), inch(48)),
        entry(after(1), inch(48), inch(8)),
        entry("end", inch(48), inch(8)),
    )
    found = laid(wall((half, half), profile), system(cap=None))
    expected = [240 * math.pi / 4] + [(240 - k) * math.pi / 2 for k in range(1, 7)]
    assert faces_in(found) == pytest.approx(expected, rel=EXACT)
    assert standard_by_course(found) == [11, 21, 21, 21, 21, 21, 21]


def test_lay_out_gives_the_higher_cap_run_a_return() -> None:
    """At a change of top level the higher cap run is longer by the cap's depth."""
    # 12 ft at 48 in and 12 ft at 40 in: 144 + 12 = 156/18 = 8.67 -> 9, and 144/18 = 8
    profile = (
        entry(0.0, inch(48)),
        entry(ft(12), inch(48)),
        entry(ft(12), inch(40)),
        entry("end", inch(40)),
    )
    found = laid(wall((straight(ft(24)),), profile))
    assert [round(to_inch(run.length_m), 6) for run in found.caps] == [156, 144]
    assert [run.units for run in found.caps] == [9, 8]


def test_lay_out_gives_a_raised_middle_two_returns() -> None:
    """A cap run that is higher than both neighbors shows a return at either end."""
    # 6 + 12 + 6 ft; the middle 144 + 24 = 168/18 = 9.33 -> 10; the ends 72/18 = 4
    places = (0.0, ft(6), ft(6), ft(18), ft(18), ft(24))
    tops = (40, 40, 48, 48, 40, 40)
    profile = tuple(entry(at, inch(top)) for at, top in zip(places, tops, strict=True))
    found = laid(wall((straight(ft(24)),), profile))
    assert [run.units for run in found.caps] == [4, 10, 4]
    assert [round(to_inch(run.length_m), 6) for run in found.caps] == [72, 168, 72]


def test_lay_out_one_cap_run_where_both_tops_round_to_one_joint() -> None:
    """A cap run is a stretch with one top joint, whatever the requested tops."""
    # tops 48 and 43: 44 and 39 under the cap, both built to the joint at 44
    profile = (
        entry(0.0, inch(48)),
        entry(ft(12), inch(48)),
        entry(ft(12), inch(43)),
        entry("end", inch(43)),
    )
    spec = wall((straight(ft(24)),), profile)
    found = laid(spec)
    assert [run.units for run in found.caps] == [16]
    assert to_ft2(found.pay_face_area_m2) == pytest.approx(24 * 5, rel=EXACT)
    assert to_ft2(found.exposed_area_m2) == pytest.approx(12 * (48 + 43) / 12, rel=EXACT)


@pytest.mark.parametrize(
    ("ends", "standard", "ending"),
    [
        (Ends(start="finished"), 26, 1),
        (Ends(finish="finished"), 26, 1),
        (Ends(start="finished", finish="finished"), 25, 2),
        (Ends(start="into_grade", finish="against_structure"), 27, 0),
    ],
)
def test_lay_out_a_finished_end_takes_a_corner_unit_in_each_course(
    ends: Ends, standard: int, ending: int
) -> None:
    """Its face length comes off the leg first: (480 - 18)/18 = 25.67, (480 - 36)/18 = 24.67."""
    found = laid(level_wall(ends=ends), system(corner=CORNER_UNIT))
    assert standard_by_course(found) == [standard] * 7
    assert corners_by_course(found) == [ending] * 7


def test_lay_out_a_finished_end_only_where_the_course_is_present() -> None:
    """Under a sloped top a finished end has as many corner units as courses reach it."""
    # (240-18)/18 = 12.33; (160-18)/18 = 7.89; (80-18)/18 = 3.44
    up = wall(SLOPED.plan, SLOPED.profile, ends=Ends(finish="finished"))
    found = laid(up, system(cap=None, corner=CORNER_UNIT), BARE)
    assert standard_by_course(found) == [13, 13, 13, 13, 8, 4]
    assert corners_by_course(found) == [1] * 6
    turned = wall(
        SLOPED.plan,
        (entry(0.0, ft(4)), entry("end", inch(22))),
        ends=Ends(finish="finished"),
    )
    # 48 -> 22 in: joints 0 … 48, at the end 3 courses (to 24) stand
    low = laid(turned, system(cap=None, corner=CORNER_UNIT), BARE)
    assert corners_by_course(low) == [1, 1, 1, 0, 0, 0]


def test_lay_out_a_finished_end_without_a_corner_unit_takes_a_standard_one() -> None:
    """Without a corner unit in the catalog the end piece is a standard unit: 1 + 26 = 27."""
    found = laid(level_wall(ends=Ends(finish="finished")))
    assert standard_by_course(found) == [27] * 7
    assert corners_by_course(found) == [0] * 7


@pytest.mark.parametrize(
    ("length", "face", "expected"),
    [(ft(12), inch(18), 8), (2.1, 0.3, 7), (ft(32), inch(18), 22), (inch(18.0005), inch(18), 1)],
)
def test_lay_out_counts_a_whole_number_of_units_as_whole(
    length: float, face: float, expected: int
) -> None:
    """A length within 0.001 in of whole units is whole: 2.1 m of 0.3 m is 7, not 8."""
    found = laid(level_wall(length), system(standard=unit(face=face)))
    assert set(standard_by_course(found)) == {expected}
