"""Graded areas beside walls: nothing counted twice, no pad undercut."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.errors import Fault
from service.core.ground.beside import beside_faults
from service.core.ground.grading import measure_grading
from service.core.job.graded import (
    AverageDepth,
    Beside,
    FinishedPlane,
    GradedGround,
    Grading,
    SurveyedArea,
    WallSide,
)
from service.core.job.spec import Station
from service.core.measure import METRIC, US
from service.core.rounding import CLOSE_M
from tests.given.earth import dig_section, dug, ground_wall, soil
from tests.given.graded import SQUARE, grid, places, survey_of
from tests.given.set_walls import UPRIGHT
from tests.given.walls import ft, inch, laid, straight, system

START, END = Station(kind="at"), Station(kind="end")
FLAT = AverageDepth(area_m2=10, depth_m=0.1, work="cut")
# Exposed 4 ft, base 8 in and pad 14 in under the front grade; units and stone reach 24 in back and
# the cut rises 56 in from there at 1:1, so it ends 80 in behind the line; graded 3 ft in front.
WALL = ground_wall((0, 4, 0, 4), (40, 4, 0, 4), graded_in_front_m=ft(3))
SECTION = dig_section()
LAYOUT = laid(WALL, UPRIGHT, SECTION, US)
EARTH = dug(WALL, SECTION, of=soil(class_="B"))


def faults_of(
    side: WallSide = "behind",
    from_ft: float = 10.0,
    ground: GradedGround = FLAT,
    *,
    wall: str = LAYOUT.name,
    first: Station = START,
    last: Station = END,
) -> list[Fault]:
    """What is wrong with an area beside the wall."""
    beside = Beside(wall=wall, side=side, from_station=first, to_station=last, from_m=ft(from_ft))
    grading = Grading(name="lawn", ground=ground, beside=beside)
    area = measure_grading(grading, US)
    return list(beside_faults(grading, area, (LAYOUT,), (EARTH,), SECTION.leveling_pad, 1.0, US))


def at(feet: float) -> Station:
    """A station by its distance."""
    return Station(kind="at", at_m=ft(feet))


def level_grid(level_ft: float) -> GradedGround:
    """A cell that is cut down to a level."""
    return grid([[0, 0], [0, 0]], finished=ft(level_ft))


@pytest.mark.parametrize(
    ("side", "near", "reach", "hint"),
    [
        ("behind", 6, 80 / 12, "from 6.66667 ft on, or a smaller graded_behind of the wall"),
        ("front", 2, 3, "from 3 ft on, or a smaller graded_in_front of the wall"),
    ],
)
def test_beside_faults_find_earth_counted_twice(
    side: WallSide, near: float, reach: float, hint: str
) -> None:
    """An area nearer than the wall's own earthwork reaches is refused, one that begins there is
    not."""
    (fault,) = faults_of(side, near)
    assert (fault.code, fault.at, fault.hint) == ("earth-counted-twice", ("from",), hint)
    assert faults_of(side, reach) == []


def test_beside_faults_take_areas_clear_of_walls() -> None:
    """An area beside no wall has no place that could be wrong."""
    grading = Grading(name="lawn", ground=FLAT)
    area = measure_grading(grading, US)
    found = beside_faults(grading, area, (LAYOUT,), (EARTH,), SECTION.leveling_pad, 1.0, US)
    assert list(found) == []


def test_beside_faults_name_the_nearest_wall() -> None:
    """A name that no wall has is refused, with the nearest one as hint."""
    (fault,) = faults_of(wall=LAYOUT.name + "s")
    assert (fault.code, fault.at) == ("unknown-wall", ("wall",))
    assert fault.hint == f"did you mean {LAYOUT.name!r}?"
    (fault,) = faults_of(wall="zzzzzz")
    assert fault.hint == "the name of a wall of this request"


@pytest.mark.parametrize(
    ("first", "last", "code", "where"),
    [
        (at(10), at(10), "grading-stations-order", ("to_station",)),
        (at(20), at(10), "grading-stations-order", ("to_station",)),
        (START, at(41), "grading-stations-order", ("to_station",)),
        (Station(kind="after", part=2), END, "station-unknown-part", ("from_station", "after")),
    ],
    ids=["same", "backward", "beyond", "no such part"],
)
def test_beside_faults_hold_stations_to_the_plan(
    first: Station, last: Station, code: str, where: tuple[str, ...]
) -> None:
    """Stations run forward, inside the wall of 40 ft with one part."""
    assert (code, where) in [(fault.code, fault.at) for fault in faults_of(first=first, last=last)]


def test_beside_faults_find_ground_under_the_pad() -> None:
    """The pad's underside lies at -14 in, its front edge 6 in out: 3 ft from the line soil that
    stands at 1:1 may lie 2.5 ft lower, at -3.667 ft; lower ground takes the pad's support away."""
    (fault,) = faults_of("front", 3, level_grid(-3.7))
    assert (fault.code, fault.at) == ("finished-under-pad", ("grid",))
    assert "lies 2.53333 ft or more below the bottom of the pad" in fault.message
    assert fault.hint is not None
    assert fault.hint.startswith("at most 2.5 ft below it there")
    assert faults_of("front", 3, level_grid(-3.6)) == []
    assert faults_of("behind", 10, level_grid(-3.7)) == []


def test_beside_faults_find_a_surveyed_level_under_the_pad() -> None:
    """A finished level of a survey counts like that of a grid."""
    area = SurveyedArea(
        survey=survey_of([(e, n, 0.0) for e, n in SQUARE]),
        boundary=places(*SQUARE),
        finished=FinishedPlane(level_m=ft(-6)),
    )
    assert [(f.code, f.at) for f in faults_of("front", 3, area)] == [
        ("finished-under-pad", ("survey",))
    ]


def test_beside_faults_round_up_to_centimeters_in_metric_requests() -> None:
    """80 in are 2.032 m: the next centimeter on a tape is 2.04 m."""
    beside = Beside(wall=LAYOUT.name, side="behind", from_station=START, to_station=END, from_m=1.0)
    grading = Grading(name="lawn", ground=FLAT, beside=beside)
    area, pad = measure_grading(grading, METRIC), SECTION.leveling_pad
    earths = replace(EARTH, wall="another"), EARTH
    (fault,) = beside_faults(grading, area, (LAYOUT,), earths, pad, 1.0, METRIC)
    assert fault.hint is not None
    assert fault.hint.startswith("from 2.04 m on")


# 20 ft at 0, 20 ft 2 ft higher, 20 ft at 0 again, in courses of 8 in that set back 1 in each: the
# base steps from -8 in to 16 in, where its face stands 3 in behind the plan line. The pad is 6 in
# thick over 2 in dug deeper; its front is 3 in out there.
STEPPED = laid(
    ground_wall(
        *((0, 4, 0, 4), (19.9, 4, 0, 4), (20.1, 6, 2, 6), (39.9, 6, 2, 6), (40.1, 4, 0, 4)),
        (60, 4, 0, 4),
        plan=(straight(ft(20)), straight(ft(40))),
    ),
    system(cap=None, setback=inch(1)),
    dig_section(overdig=inch(2)),
    US,
)


def beside_stepped(
    first: Station, last: Station, level_in: float = 0.0, slope: float = 1.5
) -> list[str]:
    """Codes of what is wrong with ground 3 ft in front of the stepped wall, at a level."""
    ground = grid([[0, 0], [0, 0]], finished=inch(level_in))
    beside = Beside(
        wall=STEPPED.name, side="front", from_station=first, to_station=last, from_m=ft(3)
    )
    grading = Grading(name="lawn", ground=ground, beside=beside)
    area, pad = measure_grading(grading, US), dig_section(overdig=inch(2)).leveling_pad
    return [f.code for f in beside_faults(grading, area, (STEPPED,), (), pad, slope, US)]


@pytest.mark.parametrize(
    ("first", "slope", "lowest_in"),
    [
        (25, 1.5, 16 - 8 - (36 - 3) / 1.5),
        (5, 1.5, -8 - 8 - (36 - 6) / 1.5),
        (15, 1.5, -8 - 8 - (36 - 6) / 1.5),
        (25, 0.0, 16 - 8),
    ],
    ids=["the higher base", "the lower one", "both: by the lower one", "soil that needs no slope"],
)
def test_beside_faults_go_by_the_pad_beside_the_area(
    first: float, slope: float, lowest_in: float
) -> None:
    """The bottom of what is dug for the pad, less what soil at 1.5:1 falls from its front edge to
    3 ft out; where the place lets soil stand upright, nothing."""
    stations = at(first), at(first + 10)
    assert beside_stepped(*stations, lowest_in - 0.1, slope) == ["finished-under-pad"]
    assert beside_stepped(*stations, lowest_in, slope) == []
    assert beside_stepped(*stations, lowest_in + 0.1, slope) == []


def test_beside_faults_look_at_no_pad_that_only_touches_the_area() -> None:
    """Along the higher base from step to step, the lower ones beside it don't matter."""
    run = max(STEPPED.base_runs, key=lambda run: run.joint)
    first, last = (Station(kind="at", at_m=at) for at in (run.from_m, run.to_m))
    assert beside_stepped(first, last, -14 - 0.1) == ["finished-under-pad"]


def test_beside_faults_take_every_part_of_the_plan() -> None:
    """After the first part and after the last one of two are places of the wall; after a third
    there is none."""
    first, second, third = (Station(kind="after", part=part) for part in (1, 2, 3))
    assert beside_stepped(first, second) == []
    assert beside_stepped(first, third) == ["station-unknown-part"]


def test_beside_faults_ask_nothing_of_less_than_a_mark_of_the_wall() -> None:
    """Ground beside the last half of a thousandth of an inch undercuts no pad."""
    first, last = (Station(kind="at", at_m=ft(60) + at * CLOSE_M) for at in (-0.5, 0.9))
    assert beside_stepped(first, last, -1000) == []
