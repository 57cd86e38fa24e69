"""What is dug on a job: whether anything is, what it rests on, how little a check works out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.built import lay_out_walls
from service.core.errors import QuoteFaultsError
from service.core.ground import groundwork
from service.core.ground.groundwork import Groundwork, check_dug, dig
from service.core.ground.known_ground import ground_of
from service.core.job.graded import AverageDepth, Beside, Grading
from service.core.job.job import Job, Soils
from service.core.job.soil import Soil
from service.core.job.spec import Station, Tier, WallSpec
from tests.given.earth import dig_section, ground_wall, soil
from tests.given.graded import grid
from tests.given.jobs import dug_job, earth_of, job_of
from tests.given.set_walls import UPRIGHT
from tests.given.walls import ft, inch, level_wall

STRIP = Grading(name="strip", ground=AverageDepth(area_m2=20.0, depth_m=0.2, work="cut"))
RAGGED = Grading(name="rag", ground=grid([[0, 0], [0]]))
NEAR = Beside(
    wall="wall-1",
    side="behind",
    from_station=Station(kind="at"),
    to_station=Station(kind="end"),
    from_m=ft(1),
)
CLAY = soil("clay", reusable=False)
SAND = soil("sand")


@pytest.mark.parametrize(
    "job",
    [
        replace(dug_job(), materials_only=True),
        replace(job_of(level_wall()), soils=Soils(retained=soil())),
    ],
    ids=["material alone", "no ground"],
)
def test_dig_digs_nothing_of_material_alone_and_without_ground(job: Job) -> None:
    """Neither wall, nor area, nor balance."""
    assert dig(job, lay_out_walls(job)) == Groundwork(earth=None)


def test_dig_digs_where_the_first_entry_alone_gives_the_ground() -> None:
    """Left out later the grade stays: the wall is dug as with the grade in every entry."""
    job = dug_job()
    (wall,) = job.walls
    first, *others = wall.profile
    later = tuple(replace(entry, existing_grade_m=None) for entry in others)
    once = replace(job, walls=(replace(wall, profile=(first, *later)),))
    assert earth_of(once).cut_m3 == earth_of(job).cut_m3


def tier(name: str, behind: float, front: float) -> WallSpec:
    """8/3 ft of wall so far up a 2:1 bank."""
    existing = behind / 2
    spec = ground_wall(
        (0, front + 8 / 3, front, existing),
        (40, front + 8 / 3, front, existing),
        existing_slope=0.5,
        graded_in_front_m=0.0,
        graded_behind_m=ft(12),
    )
    return replace(spec, name=name)


@pytest.mark.parametrize(("behind", "fields"), [(5, ["/tiers/0"]), (20, [])])
def test_dig_takes_tiers_to_start_opposite_where_their_cuts_are_one(
    behind: float, fields: list[str]
) -> None:
    """5 ft apart the cut of the lower wall, from 2 ft at 1:1 to 16/3 ft, runs under the upper
    trench, which begins at 4.5 ft; 20 ft apart it ends more than its depth before it."""
    job = replace(
        job_of(tier("low", 0, 0), tier("up", behind, behind / 2)),
        system=UPRIGHT,
        section=dig_section(minimum=inch(8)),
        soils=Soils(retained=soil(class_="B")),
        tiers=(Tier(lower="low", upper="up", offset_m=ft(behind)),),
    )
    assert [each.field for each in dig(job, lay_out_walls(job)).assumptions] == fields


@pytest.mark.parametrize(
    ("areas", "code"),
    [
        ((STRIP, replace(STRIP, beside=NEAR)), "earth-counted-twice"),
        ((STRIP, RAGGED), "grid-uneven"),
    ],
    ids=["beside a wall", "ragged"],
)
def test_check_dug_looks_at_every_area(areas: tuple[Grading, ...], code: str) -> None:
    """One that is sound does not hide another that is not."""
    job = replace(dug_job(), grading=areas)
    with pytest.raises(QuoteFaultsError) as caught:
        check_dug(job, lay_out_walls(job), (), ground_of(job))
    assert [fault.code for fault in caught.value.faults] == [code]


@pytest.mark.parametrize(
    ("retained", "fill"),
    [(soil(), None), (soil(), SAND), (CLAY, SAND)],
    ids=["own", "both", "fill"],
)
def test_check_dug_balances_nothing_that_decides_nothing(
    retained: Soil, fill: Soil | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where some soil may go back, what is cut and filled is not worked out."""
    job = replace(dug_job(), soils=Soils(retained=retained, fill=fill), grading=(STRIP,))
    monkeypatch.setattr(groundwork, "balance", lambda *_: pytest.fail("balanced"))
    check_dug(job, lay_out_walls(job), (), ground_of(job))
