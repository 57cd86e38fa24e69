"""What work on earth is measured by."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.ground.balance import Earthwork, GradedEarth, balance
from service.core.job.machine import Truck
from service.core.job.measured import measured_at
from service.core.job.topsoil import Topsoil
from service.core.labor.earth_measure import measure_earth
from service.core.measure import US
from tests.given.earth import FOOT_DEEP, dug, ground_wall, soil, to_ft3
from tests.given.walls import ft

TRUCK = Truck(volume_m3=5.0, payload_kg=1e9)


def graded(*areas: GradedEarth, truck: Truck | None = TRUCK) -> Earthwork:
    """The balance of some graded areas: swell 0.25, shrink 0.10."""
    return balance((), areas, soil(), None, truck, None, US)


def test_measure_earth_of_nothing_is_nothing() -> None:
    """Without earthwork each of its quantities is there, and there is nothing of it."""
    assert measure_earth(None) == dict.fromkeys(measured_at("earthwork"), ())


def test_measure_earth_shares_what_leaves_by_what_is_cut() -> None:
    """30 and 10 m3 of cut, 18 m3 of fill take 20 of bank: 20 bank, 25 loose leave in 5 loads."""
    earth = graded(
        GradedEarth(name="strip", cut_m3=30.0, fill_m3=0.0, stripped_m3=4.0, replaced_m3=2.0),
        GradedEarth(name="lawn", cut_m3=10.0, fill_m3=18.0),
    )
    found = measure_earth(earth)
    assert found["cut_volume"] == (("grading: lawn", 10.0), ("grading: strip", 30.0))
    assert found["fill_volume"] == (("grading: lawn", 18.0),)
    assert found["backfill_volume"] == ()
    assert dict(found["haul_off_volume"]) == pytest.approx(
        {"grading: lawn": 6.25, "grading: strip": 18.75}
    )
    assert math.fsum(net for _, net in found["haul_off_loads"]) == pytest.approx(5.0)
    assert found["import_volume"] == ()
    assert found["topsoil_strip_volume"] == (("grading: strip", 4.0),)
    assert found["topsoil_spread_volume"] == (("grading: strip", 2.0),)


def test_measure_earth_counts_topsoil_that_leaves() -> None:
    """20 m3 in the bank leave as 25 loose in 5 loads. Of 12 m3 stripped 4 are put back and 3 taken
    by tasks: 5 leave, 6.25 loose in 2 loads, by what is stripped. Without a cut it leaves too."""
    areas = (
        GradedEarth(name="cut", cut_m3=20.0, fill_m3=0.0, stripped_m3=9.0, replaced_m3=4.0),
        GradedEarth(name="bare", cut_m3=0.0, fill_m3=0.0, stripped_m3=3.0),
    )
    topsoil = Topsoil(strip_m=0.1, replace_m=0.1, tasks_m3=3.0)
    found = measure_earth(balance((), areas, soil(), None, TRUCK, topsoil, US))
    assert dict(found["haul_off_volume"]) == pytest.approx(
        {"grading: cut": 25 + 6.25 * 3 / 4, "grading: bare": 6.25 / 4}
    )
    assert math.fsum(net for _, net in found["haul_off_loads"]) == pytest.approx(7.0)
    bare = measure_earth(balance((), areas[1:], soil(), None, TRUCK, topsoil, US))
    assert bare["haul_off_volume"] == ()
    free = Topsoil(strip_m=0.1, replace_m=0.1)
    bare = measure_earth(balance((), areas[1:], soil(), None, TRUCK, free, US))
    assert dict(bare["haul_off_volume"]) == pytest.approx({"grading: bare": 3.75})


def test_measure_earth_shares_what_comes_by_what_is_placed() -> None:
    """9 and 27 m3 of fill take 40 of bank, 50 loose: 10 loads, a quarter of them for the first."""
    found = measure_earth(
        graded(
            GradedEarth(name="a", cut_m3=0.0, fill_m3=9.0),
            GradedEarth(name="b", cut_m3=0.0, fill_m3=27.0),
        )
    )
    assert dict(found["import_volume"]) == pytest.approx({"grading: a": 12.5, "grading: b": 37.5})
    assert dict(found["import_loads"]) == pytest.approx({"grading: a": 2.5, "grading: b": 7.5})


def test_measure_earth_counts_no_loads_without_a_truck() -> None:
    """Nobody says what a load is."""
    found = measure_earth(graded(GradedEarth(name="a", cut_m3=0.0, fill_m3=9.0), truck=None))
    assert found["import_loads"] == ()


# 5.5 ft of fill from the top of the cut at 2.5 ft to 20 ft behind the plan line, 6 in of it from
# 6 in to 10 ft before it.
FILLED = dug(
    ground_wall((0, 9, 4, 3.5), (40, 9, 4, 3.5), graded_in_front_m=ft(10), graded_behind_m=ft(20)),
    FOOT_DEEP,
    of=soil(class_="B"),
)


@pytest.mark.parametrize(
    ("reach", "raised", "later"),
    [
        (math.inf, 96.25, 4.75),
        (ft(20), 96.25, 4.75),
        (ft(19.9), 95.7, 5.3),
        (ft(15), 68.75, 32.25),
        (ft(2.5), 0.0, 101.0),
    ],
)
def test_measure_earth_raises_fill_within_reach(reach: float, raised: float, later: float) -> None:
    """Of 101 ft2 of fill what lies behind the wall within reach is placed with the backfill, the
    rest later; together they are all of it."""
    earth = balance((FILLED,), (), soil(), None, None, None, US)
    found = measure_earth(earth, reach)
    backfill = to_ft3(dict(found["backfill_volume"])[FILLED.wall] - FILLED.backfill_m3)
    assert backfill / 40 == pytest.approx(raised)
    assert to_ft3(dict(found["fill_volume"])[FILLED.wall]) / 40 == pytest.approx(later)


def test_measure_earth_raises_an_area_behind_a_wall() -> None:
    """9 m3 behind the wall come up with its courses however far they reach, 27 m3 of another area
    are graded later; what is imported stays shared by area."""
    areas = (
        GradedEarth(name="behind", cut_m3=0.0, fill_m3=9.0, behind=FILLED.wall),
        GradedEarth(name="lawn", cut_m3=0.0, fill_m3=27.0),
    )
    found = measure_earth(balance((FILLED,), areas, soil(), None, TRUCK, None, US), ft(2.5))
    assert dict(found["backfill_volume"]) == pytest.approx({FILLED.wall: FILLED.backfill_m3 + 9.0})
    assert dict(found["fill_volume"]) == pytest.approx(
        {FILLED.wall: FILLED.fill_m3, "grading: lawn": 27.0}
    )
    imported = dict(found["import_volume"])
    placed = FILLED.backfill_m3 + FILLED.fill_m3
    assert imported[FILLED.wall] / imported["grading: behind"] == pytest.approx(placed / 9.0)
    assert imported["grading: lawn"] / imported["grading: behind"] == pytest.approx(3.0)


def test_measure_earth_counts_what_is_less_than_a_cubic_meter() -> None:
    """Half a cubic meter cut on one area, half of one filled on another, and half behind a wall."""
    bare = replace(FILLED, backfill_m3=0.0, fill_m3=0.0, fill_sections=())
    areas = (
        GradedEarth(name="cut", cut_m3=0.5, fill_m3=0.0),
        GradedEarth(name="fill", cut_m3=0.0, fill_m3=0.5),
        GradedEarth(name="behind", cut_m3=0.0, fill_m3=0.5, behind=FILLED.wall),
    )
    found = measure_earth(balance((bare,), areas, soil(), None, TRUCK, None, US))
    assert dict(found["cut_volume"])["grading: cut"] == 0.5
    assert found["fill_volume"] == (("grading: fill", 0.5),)
    assert found["backfill_volume"] == ((FILLED.wall, 0.5),)


def test_measure_earth_leaves_no_crumb_of_fill() -> None:
    """Where all fill lies behind a wall nothing is left to grade, not even the noise of floats."""
    spec = ground_wall(
        (0, 9, 4, 4), (40, 8.3, 4, 4), graded_in_front_m=ft(1), graded_behind_m=ft(20)
    )
    wall = dug(spec, FOOT_DEEP, of=soil(class_="B"))
    assert wall.fill_m3 > 0
    assert measure_earth(balance((wall,), (), soil(), None, None, None, US))["fill_volume"] == ()


def test_measure_earth_has_no_share_of_a_wall_with_nothing_behind_it() -> None:
    """A wall that needs neither backfill nor fill has no part in what is placed."""
    bare = replace(FILLED, backfill_m3=0.0, fill_m3=0.0, fill_sections=())
    found = measure_earth(balance((bare,), (), soil(), None, None, None, US))
    assert found["backfill_volume"] == ()
