"""What two walls share beside the ends of either and at corners, to the last digits: by hand.

Walls and units are those of test_shared_cut.py. Where two tiers on a bank overlap they do so over
5/6 ft, up to 5/12 ft deep. Feet, ft2 and ft3.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.ground.tiers.joined import join
from service.core.ground.tiers.shared_cut import besides
from service.core.ground.tiers.tier_line import neighbors
from service.core.job.spec import EndKind, Ends, Station, WallSpec
from tests.core.ground.test_shared_cut import (
    EMBEDDED,
    OPEN,
    across,
    cut_of,
    dug_at,
    excavated,
    on_bank,
    shared,
    tiers,
)
from tests.given.cut_levels import bank, volumes
from tests.given.earth import BETWEEN, dig_section, ground_wall, to_ft3
from tests.given.walls import corner, ft, inch, legs, straight, to_ft

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

OVERLAP = 5 / 6 * 5 / 12 / 2


@pytest.mark.parametrize(("low", "up"), [(13, 40), (40, 13)])
def test_walls_share_to_the_foot_at_which_one_ends(low: float, up: float) -> None:
    """Against structures at both ends they overlap over the 13 ft of the shorter one, and what the
    lower one doesn't fill is a triangle of 5/6 ft."""
    specs = [on_bank("low", 0, 0, length=low), on_bank("up", 5, 8 / 3, length=up)]
    alone = excavated(specs)
    joined = join(alone, tiers(("low", "up", 5)))
    assert shared(joined) == pytest.approx(OVERLAP * 13, rel=1e-9)
    less = alone[0].earth.backfill_m3 - joined.walls[0].backfill_m3
    assert to_ft3(less) == pytest.approx((5 / 6) ** 2 / 2 * 13, rel=1e-9)


def test_pads_that_run_on_share_to_the_foot_at_which_one_ends() -> None:
    """Pads run on 2 ft: from 2 ft before the start to 21.3 ft, where that of the lower wall ends;
    that of the upper one goes on to 23 ft."""
    detail = dig_section(minimum=inch(8), end_extension=ft(2))
    specs = [on_bank("low", 0, 0, length=19.3), on_bank("up", 5, 8 / 3, length=21)]
    joined = join(excavated(specs, detail), tiers(("low", "up", 5)))
    assert shared(joined) == pytest.approx(OVERLAP * 23.3, rel=1e-9)


def test_a_sloped_end_is_shared_as_far_as_the_other_wall_goes() -> None:
    """The upper wall ends open at 20 ft, the lower one against a structure at 21 ft: of the sloped
    end a foot is shared, as polygons level by level have it."""
    specs = [
        on_bank("low", 0, 0, length=21),
        on_bank("up", 4, 2, length=20, ends=Ends(start="against_structure", finish="open")),
    ]
    joined = join(excavated(specs), tiers(("low", "up", 4)))
    held = replace(specs[1], ends=BETWEEN)
    plain = join(excavated([specs[0], held]), tiers(("low", "up", 4)))
    both = [
        volumes(
            [
                dug_at(across(0, 21), -EMBEDDED, ends=False),
                dug_at(across(4, 20), 2 - EMBEDDED, ends=ends),
            ],
            bank(0, 0.5),
            8,
            400,
        )
        for ends in (True, False)
    ]
    expected = both[0].shared - both[1].shared
    assert shared(joined) - shared(plain) == pytest.approx(expected, rel=5e-3)
    assert cut_of(joined) > cut_of(plain)


@pytest.mark.parametrize(
    ("start", "finish"), [("open", "against_structure"), ("against_structure", "open")]
)
def test_each_open_end_shares_half_of_what_two_do(start: EndKind, finish: EndKind) -> None:
    """Of two like walls with one open end each."""
    none, one, two = (
        join(
            excavated([on_bank("low", 0, 0, ends=ends), on_bank("up", 5, 8 / 3, ends=ends)]),
            tiers(("low", "up", 5)),
        )
        for ends in (BETWEEN, Ends(start=start, finish=finish), OPEN)
    )
    assert shared(one) > shared(none)
    assert shared(one) - shared(none) == pytest.approx((shared(two) - shared(none)) / 2)
    for wall, both in zip(one.walls, two.walls, strict=True):
        assert wall.ends.cut_m3 == pytest.approx(both.ends.cut_m3 / 2, rel=1e-12)
        assert wall.ends.backfill_m3 == pytest.approx(both.ends.backfill_m3 / 2, rel=1e-12)


def test_a_sloped_end_is_shared_across_a_station_of_the_other_wall() -> None:
    """A tenth and a fifth of a foot past the end of the upper wall the ground over the lower one
    begins to rise, so little that it changes nothing: the sloped end shares as much, within 0.1 %,
    which is what its chords err by at most."""
    up = on_bank("up", 4, 2, length=20, ends=Ends(start="against_structure", finish="open"))
    low = on_bank("low", 0, 0, length=30)
    first = low.profile[0]
    levels = (20.1, 0.0), (20.2, 1e-5), (30.0, 1e-3)
    bends = [
        replace(first, station=Station(kind="at", at_m=ft(at)), existing_grade_m=ft(level))
        for at, level in levels
    ]
    bent = replace(low, profile=(first, *bends))
    held, plain, split = (
        shared(join(excavated(specs), tiers(("low", "up", 4))))
        for specs in ([low, replace(up, ends=BETWEEN)], [low, up], [bent, up])
    )
    assert split - held == pytest.approx(plain - held, rel=1e-3)


def turned(name: str, leg: float, front: float, *grounds: tuple[float, float]) -> WallSpec:
    """Two legs of the same length at an inside corner, ground as (station, level)."""
    spec = ground_wall(
        *((at, front + 8 / 3, front, ground) for at, ground in grounds),
        plan=legs("inside", 90, ft(leg), ft(leg)),
        back=3,
        graded_in_front_m=0.0,
        graded_behind_m=ft(4.5),
    )
    return replace(spec, name=name)


@pytest.mark.parametrize("grounds", [(3, 1.5), (1.5, 3)])
def test_walls_share_nothing_past_a_corner_at_which_one_stops_reaching_the_other(
    grounds: tuple[float, float],
) -> None:
    """Ground at 3 ft over one leg of the lower wall, at 1.5 ft over the other: there its cut ends
    before the upper trench. Over the one its face lies u = 17/3 - X ft under the ground X ft behind
    it, from 4.5 ft on, and the upper wall's leg, 25 ft long, runs on past the inside corner by as
    much as a column lies behind its plan line, 2/3 - u ft."""
    first, second = grounds
    low = turned("low", 20, 0, (0, first), (20, first), (20, second), (40, second))
    up = turned("up", 25, 8 / 3, (0, 3), (50, 3))
    joined = join(excavated([low, up]), tiers(("low", "up", 5)))
    deep = 7 / 6
    expected = (25 + 2 / 3) * deep**2 / 2 - deep**3 / 3  # of u (25 + 2/3 - u) from 0 to 7/6
    assert shared(joined) == pytest.approx(expected, rel=1e-5)


def test_marks_are_the_stations_at_which_the_other_wall_changes() -> None:
    """A wall of 20 and 10 ft about an outside corner, open at both ends, its ground 2 ft high up to
    13 ft and 3 ft at the end, as seen from 5 ft behind: there its legs are 15 and 5 ft long. Its
    sloped ends reach as far as the ground lies over the pad, which is 2/3 ft under the grade."""
    spec = ground_wall(
        *((0, 8 / 3, 0, 2), (13, 8 / 3, 0, 2), (30, 8 / 3, 0, 3)),
        plan=(straight(ft(20)), corner("outside"), straight(ft(10))),
        back=2,
        ends=OPEN,
        graded_in_front_m=0.0,
        graded_behind_m=ft(4),
    )
    specs = [replace(spec, name="low"), on_bank("up", 5, 8 / 3, length=20)]
    walls = {each.earth.wall: each.wall for each in excavated(specs)}
    around = neighbors(["low", "up"], tiers(("low", "up", 5)))
    (low,) = besides("up", walls, around["up"])
    marks = sorted({round(to_ft(mark), 6) for mark in low.marks_m()})
    assert marks == pytest.approx([-8 / 3, 0, 13, 15, 20, 20 + 11 / 3], abs=1e-6)
