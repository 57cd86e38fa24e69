"""Topsoil of site work: what tasks take and heap, and sod that is off before the strip."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.ground.balance import Earthwork, GradedEarth, Haul, TopsoilBalance
from service.core.ground.own_topsoil import Stripped, served_m3, take_sod_off, with_tasks
from service.core.job.site_task import SiteWorkEntry
from service.core.job.topsoil import Topsoil
from service.core.measure import METRIC
from tests.given.earth import FOOT_DEEP, SIX_HIGH, dug, ground_wall
from tests.given.site_work import asked, site_task, takes

WALL = dug(ground_wall((0, 4, 0, 4), (40, 4, 0, 4), graded_in_front_m=0.0), FOOT_DEEP, SIX_HIGH)
# 12 and 4 m3 stripped, 0.2 m deep: 80 m2
STRIP = Topsoil(strip_m=0.2, replace_m=0.1)
WALLS = (replace(WALL, stripped_m3=12.0),)
AREAS = (GradedEarth(name="yard", cut_m3=0.0, fill_m3=0.0, stripped_m3=4.0),)


def sod(area: str, thick_m: float) -> SiteWorkEntry:
    """A task that takes sod off so many square meters."""
    return asked(replace(site_task("sod", by="area", unit="m2"), sod_m=thick_m), area)


def off(*entries: SiteWorkEntry) -> Stripped:
    """What is stripped once these took sod off."""
    return take_sod_off(WALLS, AREAS, entries, STRIP, METRIC)


def test_sod_is_stripped_no_more() -> None:
    """30 m2 at 0.05 m and 20 m2 at 0.3 m, of which the strip is 0.2 m deep: 1.5 + 4 = 5.5 of 16 m3
    are off, the same share of wall and area."""
    found = off(sod("30", 0.05), sod("20", 0.3), sod("0", 0.1), sod("50", 0.0))
    left = 1 - 5.5 / 16
    assert found.walls[0].stripped_m3 == pytest.approx(12 * left)
    assert found.areas[0].stripped_m3 == pytest.approx(4 * left)
    (words,) = found.how
    parts, less = words.split("; ")
    assert parts.endswith("stripped ground: 30 m2 x 50 mm + 20 m2 x 200 mm = 5.5 m3")
    assert less == "16 m3 - 5.5 m3 = 10.5 m3"


def test_sod_is_off_no_more_ground_than_is_stripped() -> None:
    """120 m2 at 0.05 m and 40 m2 at 0.3 m where 80 m2 are stripped: half of each, 3 + 4 = 7 m3."""
    found = off(sod("120", 0.05), sod("40", 0.3))
    assert found.walls[0].stripped_m3 == pytest.approx(12 * (1 - 7 / 16))
    assert found.areas[0].stripped_m3 == pytest.approx(4 * (1 - 7 / 16))


def test_sod_takes_nothing_where_nothing_is_stripped() -> None:
    """Without topsoil, without stripped ground, without sod: all stays, and nothing is said."""
    bare = (replace(WALL, stripped_m3=0.0),)
    some = (sod("30", 0.05),)
    plain = Stripped(walls=WALLS, areas=AREAS)
    assert take_sod_off(WALLS, AREAS, some, None, METRIC) == plain
    assert take_sod_off(bare, (), some, STRIP, METRIC) == Stripped(walls=bare, areas=())
    assert off(sod("0", 0.05), sod("50", 0.0)) == plain


# 7 units that take 3 m3 of topsoil each, beside what is no topsoil by volume; 5 m3 heaped
BED = site_task(
    "bed",
    by="count",
    unit="each",
    materials=(takes("topsoil", "3", "m3"), takes("topsoil", "2", "lb"), takes("mulch", "9", "m3")),
)
HEAP = replace(site_task("heap", by="volume", unit="m3"), heaps_topsoil=True)
OTHER = site_task("other", by="volume", unit="m3")


def test_tasks_take_topsoil_by_volume_and_heap_it() -> None:
    """7 x 3 m3 are taken, 5 m3 heaped; the depths stay."""
    entries = asked(BED, "7"), asked(HEAP, "5"), asked(OTHER, "11")
    found = with_tasks(STRIP, entries)
    assert found == replace(STRIP, tasks_m3=21.0, heaped_m3=5.0)


@pytest.mark.parametrize(("heaped", "served"), [("5", 5.0), ("30", 21.0)])
def test_tasks_are_served_of_the_heap_where_nothing_is_stripped(heaped: str, served: float) -> None:
    """Without earthwork, or without topsoil in it, the heap serves as far as it goes."""
    entries = asked(BED, "7"), asked(HEAP, heaped)
    for earth in (None, earthwork(None)):
        assert served_m3(earth, entries) == served


def test_tasks_are_served_of_strip_and_heap() -> None:
    """Of 16 m3 stripped and 5 heaped 9 are put back: 12 are left for tasks that take 21."""
    topsoil = TopsoilBalance(stripped_m3=16.0, replaced_m3=9.0, tasks_m3=21.0, heaped_m3=5.0)
    assert served_m3(earthwork(topsoil), ()) == 12.0


def earthwork(topsoil: TopsoilBalance | None) -> Earthwork:
    """Earthwork of which only the topsoil is asked for."""
    nothing = Haul(bank_m3=0.0, loose_m3=0.0, mass_kg=0.0, loads=None)
    return Earthwork(
        walls=WALLS,
        graded=AREAS,
        cut_m3=0.0,
        backfill_m3=0.0,
        fill_m3=0.0,
        reused_m3=0.0,
        haul_off=nothing,
        imported=nothing,
        topsoil=topsoil,
    )
