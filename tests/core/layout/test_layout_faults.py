"""What can't be laid out: each fault with its place, its code and the figures it must give."""

from __future__ import annotations

import pytest

from service.core.errors import Fault, LayoutFaultsError
from service.core.job.section import Section
from service.core.job.spec import PlanPart, Station, WallSpec
from service.core.job.wall_system import WallSystem
from service.core.layout import levels
from service.core.layout.profile import level_faults
from service.core.measure import US
from tests.given.walls import (
    after,
    corner,
    curve,
    entry,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    section,
    straight,
    system,
    unit,
    wall,
)


def faults_of(
    spec: WallSpec, blocks: WallSystem | None = None, detail: Section | None = None
) -> tuple[Fault, ...]:
    """Faults of a wall that must not lay out."""
    with pytest.raises(LayoutFaultsError) as caught:
        laid(spec, blocks, detail)
    return caught.value.faults


@pytest.mark.parametrize("last", [ft(39, 11), ft(40, 1)])
def test_lay_out_takes_a_last_station_an_inch_off_as_the_end(last: float) -> None:
    """A tape may read an inch short or over."""
    profile = (entry(0.0, ft(4)), entry(last, ft(4)))
    assert laid(wall((straight(ft(40)),), profile)).length_m == ft(40)


def test_lay_out_refuses_a_last_station_off_by_more_than_an_inch() -> None:
    """A last station at 38 ft of a 40 ft plan is a fault that gives both figures."""
    spec = wall((straight(ft(40)),), (entry(0.0, ft(4)), entry(ft(38), ft(4))))
    (fault,) = faults_of(spec)
    assert (fault.code, fault.at) == ("last-station-off", ("profile", 1, "station"))
    assert "38 ft" in fault.message
    assert "40 ft" in fault.message


@pytest.mark.parametrize(
    ("length_in", "fits"), [(479.05, True), (480.95, True), (478.9, False), (481.1, False)]
)
def test_lay_out_allows_an_inch_at_the_last_station(length_in: float, fits: bool) -> None:
    """Up to one inch short or over is read as the end of the plan; more is not."""
    spec = wall((straight(ft(40)),), (entry(0.0, ft(4)), entry(inch(length_in), ft(4))))
    if fits:
        assert laid(spec).length_m == pytest.approx(ft(40))
    else:
        assert faults_of(spec)[0].at == ("profile", 1, "station")


def test_lay_out_refuses_a_first_station_that_is_not_zero() -> None:
    """The profile starts at station 0."""
    spec = wall((straight(ft(40)),), (entry(ft(1), ft(4)), entry("end", ft(4))))
    (fault,) = faults_of(spec)
    assert (fault.code, fault.at) == ("first-station-not-zero", ("profile", 0, "station"))


def test_lay_out_refuses_three_entries_at_one_station() -> None:
    """At most two entries stand at one station."""
    middle = tuple(entry(ft(20), ft(top)) for top in (4, 3, 2))
    spec = wall((straight(ft(40)),), (entry(0.0, ft(4)), *middle, entry("end", ft(2))))
    (fault,) = faults_of(spec)
    assert (fault.code, fault.at) == ("station-given-three-times", ("profile", 3, "station"))
    assert "20 ft" in fault.message


def test_lay_out_refuses_a_doubled_entry_at_an_end() -> None:
    """No jump at either end of the wall."""
    start = wall((straight(ft(40)),), (entry(0.0, ft(4)), entry(0.0, ft(3)), entry("end", ft(3))))
    finish = wall(
        (straight(ft(40)),), (entry(0.0, ft(4)), entry(ft(40), ft(4)), entry("end", ft(3)))
    )
    for spec, place in ((start, 1), (finish, 2)):
        (fault,) = faults_of(spec)
        assert (fault.code, fault.at) == ("end-station-doubled", ("profile", place, "station"))


def test_lay_out_refuses_stations_that_run_back() -> None:
    """Stations don't fall along the profile."""
    spec = wall(
        (straight(ft(40)),),
        (entry(0.0, ft(4)), entry(ft(20), ft(4)), entry(ft(10), ft(4)), entry("end", ft(4))),
    )
    (fault,) = faults_of(spec)
    assert (fault.code, fault.at) == ("stations-out-of-order", ("profile", 2, "station"))
    assert "10 ft comes after 20 ft" in fault.message


@pytest.mark.parametrize("station", [after(2), after(0), Station(kind="after", part=-1)])
def test_lay_out_refuses_a_station_after_a_part_that_is_not_there(station: Station) -> None:
    """`after` counts the plan's parts from 1."""
    spec = wall(
        (straight(ft(40)),), (entry(0.0, ft(4)), entry(station, ft(4)), entry("end", ft(4)))
    )
    (fault,) = faults_of(spec)
    assert (fault.code, fault.at) == ("station-unknown-part", ("profile", 1, "station", "after"))


def test_lay_out_refuses_a_top_below_front_grade() -> None:
    """A top below the ground in front is a fault at that entry's top."""
    spec = wall((straight(ft(40)),), (entry(0.0, ft(4)), entry("end", ft(1), ft(2))))
    (fault,) = faults_of(spec)
    assert (fault.code, fault.at) == ("top-below-front-grade", ("profile", 1, "top"))


def test_lay_out_refuses_a_stretch_without_a_course() -> None:
    """Rounded down over a shallow base nothing is left: `no-course`."""
    # from the base: base -8, top 0 - 4 = -4 rounds down to -8: no course
    spec = level_wall(exposed=0.0, level_from="base", top_rounding="down")
    assert [fault.code for fault in faults_of(spec)] == ["no-course"]


def test_lay_out_refuses_a_part_of_the_wall_without_a_course() -> None:
    """One stretch without a course is enough, and the fault says where it starts."""
    # base -8; top under the cap -4 up to 10 ft (no joint above -8), then 44
    spec = wall(
        (straight(ft(20)),),
        (entry(0.0, ft(4)), entry(ft(10), ft(4)), entry(ft(10), 0.0), entry("end", 0.0)),
        level_from="base",
        top_rounding="down",
    )
    (fault,) = faults_of(spec)
    assert fault.code == "no-course"
    assert "10 ft" in fault.message


def test_lay_out_refuses_a_steeper_slope_in_front_than_the_section_knows() -> None:
    """Steeper than the last row of the section: `front-slope-unsupported`."""
    detail = section(shares=((0.0, 0.05), (1 / 3, 0.1), (0.5, 1 / 7)))
    (fault,) = faults_of(level_wall(front_slope=0.51), None, detail)
    assert fault.code == "front-slope-unsupported"
    assert fault.at == ("front_slope",)
    (level_only,) = faults_of(level_wall(front_slope=0.1))
    assert level_only.code == "front-slope-unsupported"


@pytest.mark.parametrize(
    ("plan", "course", "place"),
    [
        # B of 4.5 in loses k: nothing left at k = 5, the 6th course
        (legs("outside", 90, ft(20), inch(4.5)), 6, "plan part 3, stations 20 ft to"),
        # the middle of 9 in loses 2k: nothing left at k = 5
        (legs("outside", 90, ft(10), inch(9), ft(10)), 6, "plan part 3, stations 10 ft to"),
        # a leg of exactly 6 in is used up at k = 6, the 7th course
        (legs("outside", 90, ft(20), inch(6)), 7, "plan part 3, stations 20 ft to"),
        # a curve of 5.5 in radius has none left at k = 6
        ((curve("outside", inch(5.5), 90),), 7, "plan part 1, stations 0 ft to"),
    ],
)
def test_lay_out_names_the_course_in_which_the_setback_uses_up_a_leg(
    plan: tuple[PlanPart, ...], course: int, place: str
) -> None:
    """A leg that the setback uses up is a fault that names the first course without it, the plan
    part and its stations."""
    faults = faults_of(level_wall(plan))
    assert [(fault.code, fault.at) for fault in faults] == [("leg-used-up", ("plan",))]
    assert f"course {course}" in faults[0].message
    assert place in faults[0].message


@pytest.mark.parametrize(
    ("plan", "part", "code"),
    [
        ((corner("outside"), straight(ft(10))), 0, "corner-at-end"),
        ((straight(ft(10)), corner("outside")), 1, "corner-at-end"),
        (
            (straight(ft(10)), corner("outside"), corner("inside"), straight(ft(10))),
            2,
            "corners-in-a-row",
        ),
    ],
)
def test_lay_out_refuses_a_corner_at_an_end_or_after_another(
    plan: tuple[PlanPart, ...], part: int, code: str
) -> None:
    """No corner at an end of the plan, no two in a row."""
    (fault,) = faults_of(level_wall(plan))
    assert (fault.code, fault.at) == (code, ("plan", part))


def test_lay_out_refuses_a_plan_without_parts() -> None:
    """A line without a straight or a curve is no wall."""
    fault = faults_of(level_wall(()))[0]
    assert (fault.code, fault.at) == ("plan-empty", ("plan",))
    assert "straight or curve" in fault.message


def test_lay_out_gives_all_faults_of_a_wall_at_once() -> None:
    """Each rule whose own fields are sound is checked in one pass: stations, tops, slope."""
    spec = wall(
        (straight(ft(40)),),
        (entry(ft(1), ft(4)), entry(ft(20), ft(1), ft(2)), entry(ft(30), ft(4))),
        front_slope=0.9,
    )
    found = {fault.at: fault.message for fault in faults_of(spec)}
    assert found.keys() >= {("profile", 1, "top"), ("front_slope",)}
    assert found["profile", 0, "station"] == "the first station is 1 ft; it must be 0"
    assert found["profile", 2, "station"] == "the last station is 30 ft, the plan is 40 ft long"


def test_lay_out_gives_faults_of_plan_and_profile_at_once() -> None:
    """A corner at the end of the plan doesn't hide a top below front grade."""
    spec = wall(
        (straight(ft(40)), corner("outside")),
        (entry(0.0, ft(4)), entry("end", ft(1), ft(2))),
    )
    places = [fault.at[:2] for fault in faults_of(spec)]
    assert ("plan", 1) in places
    assert ("profile", 1) in places


def test_lay_out_of_a_system_without_setback_uses_up_nothing() -> None:
    """With no setback the same short leg stands to the top."""
    found = laid(level_wall(legs("outside", 90, ft(20), inch(4.5))), system(setback=0.0))
    assert len(found.courses) == 7


def test_lay_out_refuses_a_profile_of_one_entry() -> None:
    """A profile has at least its two ends."""
    (fault,) = faults_of(wall((straight(ft(40)),), (entry(0.0, ft(4)),)))
    assert (fault.code, fault.at) == ("profile-too-short", ("profile",))


def test_lay_out_refuses_a_wall_that_no_unit_can_make_within_a_blink() -> None:
    """Absurd heights are a fault at the top, not a long calculation."""
    faults = faults_of(level_wall(exposed=ft(10_000_000)))
    assert [(fault.code, fault.at) for fault in faults] == [
        ("wall-too-high", ("profile", entry, "top")) for entry in (0, 1)
    ]


def test_lay_out_refuses_more_steps_than_one_request_may_have() -> None:
    """60 entries between 0.5 ft and 64 ft pass 95 joints each: over 4,000 in all."""
    tops = [ft(64) if i % 2 else ft(0.5) for i in range(60)]
    profile = tuple(entry("end" if i == 59 else ft(10 * i), top) for i, top in enumerate(tops))
    spec = wall((straight(ft(590)),), profile)
    assert [fault.code for fault in faults_of(spec)] == ["layout-too-large"]


@pytest.mark.parametrize(("courses", "meets"), [(10, True), (11, False)])
def test_lay_out_names_the_corner_at_which_caps_do_not_meet(courses: int, *, meets: bool) -> None:
    """Two outside arcs of 120 in at a corner of 110 deg meet up to 120 (1 - sin 55 deg) = 21.7 in
    behind the plan line. The rear of a cap 12 in deep lies 12 in and a setback of 1 in a course
    above the first behind it: at 21 in over ten courses, at 22 in over eleven."""
    plan = (
        curve("outside", inch(120), 60),
        corner("outside", 110),
        curve("outside", inch(120), 60),
    )
    spec = level_wall(plan, ft(4, 8 * (courses - 7)))
    assert len(laid(spec, system(cap=None)).courses) == courses
    if meets:
        assert laid(spec).caps
        return
    (fault,) = faults_of(spec)
    assert (fault.code, fault.at) == ("offset-does-not-meet", ("plan", 1))
    assert "caps" in fault.message
    assert "plan part 2" in fault.message


def test_level_faults_leave_the_highest_wall_alone() -> None:
    """30 m over the front grade is the most that is laid out; 1 mm more is refused."""
    assert list(level_faults((entry(0.0, 30.0), entry("end", 30.0)), US)) == []
    (fault,) = level_faults((entry(0.0, 30.001), entry("end", 30.0)), US)
    assert (fault.code, fault.at) == ("wall-too-high", ("profile", 0, "top"))


def test_lay_out_takes_a_size_of_20_000_in_one_wall() -> None:
    """160 plan parts x 125 courses are 20,000; 160 x 126 are refused. A level wall has one step's
    part of it besides, which is not counted here."""
    parts = tuple(straight(ft(3)) for _ in range(160))
    low = system(standard=unit(height=inch(1)), setback=0.0, cap=None)
    found = laid(level_wall(parts, inch(119)), low)
    assert len(found.courses) == 125
    assert [each.code for each in faults_of(level_wall(parts, inch(120)), low)] == [
        "layout-too-large"
    ]


def test_lay_out_takes_as_many_steps_as_one_request_may_have(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two stretches, of one step, have a size of 10: they are laid out where 10 is the most, and
    refused where it is 9."""
    profile = (
        entry(0.0, ft(4)),
        entry(ft(20), ft(4)),
        entry(ft(20), ft(6)),
        entry("end", ft(6)),
    )
    spec = wall((straight(ft(40)),), profile)
    monkeypatch.setattr(levels, "MOST_SIZE", 10)
    assert len(laid(spec).stretches) == 2
    monkeypatch.setattr(levels, "MOST_SIZE", 9)
    assert [each.code for each in faults_of(spec)] == ["layout-too-large"]
