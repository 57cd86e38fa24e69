"""All walls of a job: the sheet it names, the ground it lies on, and what is looked at beside
layers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.errors import QuoteFaultsError
from service.core.ground.known_ground import ground_of
from service.core.job.fact import Assumption
from service.core.job.job import Job, Soils
from service.core.job.load import Load
from service.core.job.section import Excavation
from service.core.job.spec import LoadAbove, Tier
from service.core.layout.layout import WallLayout, lay_out
from service.core.screening.check import Check
from service.core.screening.gravity_screen import STACK_ROWS
from service.core.screening.reinforced_layout import sheet_of
from service.core.screening.screening import screen
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.core.screening.test_cut_edge import OF_CLASS, dug_at, two_soils
from tests.given.basis import ASSOCIATION
from tests.given.quote_requests import Json
from tests.given.screened import set_request, set_wall, sets_catalog
from tests.given.walls import ft, level_wall

TWO_SOILS = {"retained": "phi26", "foundation": "phi30", "fill": "phi36"}
OF_STACKS = {row.name for row, _ in STACK_ROWS}


def job_of(wall: Json, **more: object) -> Job:
    """A job of one wall of the sets."""
    catalog = sets_catalog()
    job, _ = to_core(read_request(set_request(wall, **more), catalog, None), catalog)
    return job


def layouts_of(job: Job) -> list[WallLayout]:
    """Its walls as they are laid out."""
    return [lay_out(spec, job.system, job.section, job.units) for spec in job.walls]


def test_sheet_of_refuses_one_whose_strength_nobody_knows() -> None:
    """No file of the material, or one without a table; with it the sheet is the file's."""
    job = job_of(set_wall("4 ft"), screening={"reinforcement": "all"})
    known = job.materials["grid"]
    assert sheet_of(job) == known.reinforcement
    for materials in ({}, {"grid": replace(known, reinforcement=None)}):
        with pytest.raises(QuoteFaultsError) as raised:
            sheet_of(replace(job, materials=materials))
        (fault,) = raised.value.faults
        assert (fault.code, fault.at) == ("reinforcement-data-missing", ("section",))


def test_screen_knows_the_ground_of_its_job_by_itself() -> None:
    """Two soils in measured ground: what somebody knows of it only saves the work."""
    wall = set_wall("4 ft", graded_in_front="0 ft", existing_slope="level")
    wall["profile"][0]["existing_grade"] = "4 ft"
    job = job_of(wall, soils=TWO_SOILS, section="steep_cut")
    layouts = layouts_of(job)
    assert screen(job, layouts) == screen(job, layouts, ground_of(job))


def test_screen_leaves_no_room_behind_layers_where_nothing_is_said_of_it() -> None:
    """A section without a word of digging is one with no room, at the slope of the class: soil of
    20 deg, which slides along that slope, begins where the layers end."""
    weak = {**TWO_SOILS, "retained": "phi20"}
    job = job_of(set_wall("6 ft"), soils=weak, screening={"reinforcement": "all"})
    silent, said, roomy = (
        screen(replace(job, section=replace(job.section, excavation=digs)), layouts_of(job))
        for digs in (None, Excavation(working_room_m=0.0), Excavation(working_room_m=1.0))
    )
    assert silent.walls[0].reinforced_checks == said.walls[0].reinforced_checks
    assert silent.walls[0].reinforced_checks != roomy.walls[0].reinforced_checks


def test_screen_asks_nothing_of_a_stretch_without_soil_beside_layers() -> None:
    """20 ft stand free, 20 ft hold 4 ft and get layers: no stack is left that holds soil. With
    16 in of soil behind them the first 20 ft are one."""
    found = []
    for back in ("0 ft", "16 in"):
        levels = (("0 ft", back), ("20 ft", back), ("20 ft", "4 ft"), ("end", "4 ft"))
        profile = [
            {"station": at, "top": "4 ft", "front_grade": "0 ft", "back_grade": grade}
            for at, grade in levels
        ]
        job = job_of(set_wall("4 ft", profile=profile), screening={"reinforcement": "where_needed"})
        checks = screen(job, layouts_of(job)).checks(reinforced=True)
        assert any(each.build == "reinforced" for each in checks)
        found.append({each.check for each in checks if each.build == "gravity"} & OF_STACKS)
    assert found == [set(), OF_STACKS]


def one(job: Job, name: str) -> Check:
    """A check of a plain stack or beside it."""
    (found,) = (c for c in screen(job, layouts_of(job)).checks(reinforced=False) if c.check == name)
    return found


def tiered(offset_ft: float, reinforcement: str) -> Job:
    """4 ft, which slides as a plain stack, and one course above it; nobody asks for a permit."""
    job = job_of(set_wall("4 ft"), screening={"reinforcement": reinforcement})
    walls = (
        replace(job.walls[0], name="low"),
        replace(level_wall(name="up", front=ft(4), exposed=ft(8 / 12)), surcharge_stated=True),
    )
    tiers = (Tier(lower="low", upper="up", offset_m=ft(offset_ft)),)
    place = replace(job.jurisdiction, cautions=())
    return replace(job, walls=walls, tiers=tiers, jurisdiction=place)


def test_screen_refuses_a_wall_on_another() -> None:
    """6 in behind units of 12 in."""
    job = tiered(0.5, "none")
    with pytest.raises(QuoteFaultsError) as raised:
        screen(job, layouts_of(job))
    assert [fault.code for fault in raised.value.faults] == ["tier-on-tier"]


@pytest.mark.parametrize(("how", "status"), [("none", "fail"), ("all", "pass_as_assumed")])
def test_near_tiers_go_by_the_lower_wall_as_it_may_be_built(how: str, status: str) -> None:
    """7 ft apart: the lower one fails as a plain stack, and holds with layers."""
    job = tiered(7, how)
    (found,) = (
        check
        for check in screen(job, layouts_of(job)).other_checks
        if check.check == "tier_independence"
    )
    assert found.status == status


def test_layers_that_make_the_cut_deep_are_checked_before_that_cut() -> None:
    """3.333 ft of soil under 0.3 in 1: the face of 1/4:1 meets it 4.33 ft over the trench behind
    the stone, 4.97 ft behind layers of 4 ft. Where 4.9 ft are deep, layers stand before the slope
    of the class, and the plain stack before its own."""
    found = []
    for deep, run in ((4.9, 0.25), (4.9, 1.5), (99.0, 0.25)):
        job = dug_at(two_soils("40 in", back_slope=0.3, deep=deep), run)
        found.append(screen(replace(job, reinforcing="all"), layouts_of(job)))
    moved, flat, steep = found
    assert moved.walls[0].reinforced_checks == flat.walls[0].reinforced_checks
    assert moved.walls[0].reinforced_checks != steep.walls[0].reinforced_checks
    assert moved.plain_checks == steep.plain_checks
    for each, slope in zip(found, (4.0, OF_CLASS, 4.0), strict=True):
        stack = each.walls[0].stack
        assert stack is not None
        assert stack.ground.cut is not None
        assert stack.ground.cut.slope == pytest.approx(slope)


def test_tallest_stack_stands_before_what_lies_behind_the_highest_section() -> None:
    """Ground that was there rises 1 in 10 behind 3 ft of soil, 1 in 5 behind 4 ft."""
    job = job_of(set_wall("4 ft"))
    (spec,) = job.walls
    low, high = spec.profile
    profile = (
        replace(low, back_grade_m=ft(3), existing_section=((0.0, 0.0), (3.0, 0.3))),
        replace(high, existing_section=((0.0, 0.0), (3.0, 0.6))),
    )
    job = replace(job, walls=(replace(spec, profile=profile),))
    stack = screen(job, layouts_of(job)).walls[0].stack
    assert stack is not None
    assert [load.existing_slope for load in stack.loads] == pytest.approx([0.2])
    assert [load.existing for load in stack.loads] == [()]


def test_layers_lie_where_a_stretch_fails_at_either_end() -> None:
    """8 in of soil at the start, 4 ft at the end; the sheet is that of the section."""
    for levels in (("8 in", "4 ft"), ("4 ft", "8 in")):
        profile = [
            {"station": at, "top": "4 ft", "front_grade": "0 ft", "back_grade": grade}
            for at, grade in zip(("0 ft", "end"), levels, strict=True)
        ]
        job = job_of(set_wall("4 ft", profile=profile), screening={"reinforcement": "where_needed"})
        (laid,) = screen(job, layouts_of(job)).reinforcement
        assert laid.item == "grid"
        assert laid.layers


SOIL = "/soils/retained: the soil behind the wall"
WEIGHT = "wall_systems/three_quarter: in_place.unit_weight"


@pytest.mark.parametrize(
    ("soil", "weight", "missing"),
    [(False, True, (SOIL,)), (True, False, (WEIGHT,)), (False, False, (SOIL, WEIGHT))],
)
def test_wall_of_which_nothing_is_known_says_what_is_missing(
    soil: bool, weight: bool, missing: tuple[str, ...]
) -> None:
    """For every check of a stack, with the source of its figure, or of the basis without one."""
    job = job_of(set_wall("4 ft"))
    job = replace(
        job,
        basis=replace(ASSOCIATION, source="the book"),
        soils=job.soils if soil else Soils(),
        system=job.system if weight else replace(job.system, in_place_weight_n_m3=None),
    )
    found = screen(job, layouts_of(job)).plain_checks
    assert {check.check for check in found} == OF_STACKS
    for check in found:
        assert (check.status, check.missing) == ("not_checked", missing)
        assert check.source == ("the book" if check.check == "eccentricity" else "by hand")


def test_checks_rest_on_what_was_left_out_and_on_loads_for_an_engineer() -> None:
    """A pool 1 ft behind is one, a lawn isn't, a pool 50 ft behind is too far; the surcharge was
    left out, the slope was told."""
    job = job_of(set_wall("16 in"))
    pool = Load(id="pool", version="1", title="Pool", load_pa=0.0, engineer=True)
    lawn = Load(id="lawn", version="1", title="Lawn", load_pa=0.0)
    above: tuple[LoadAbove, ...] = (lawn.above(ft(1)), pool.above(ft(50)), pool.above(ft(1)))
    left_out = Assumption(field="/walls/0/surcharge", value="0 psf", why="by hand")
    job = replace(job, walls=(replace(job.walls[0], above=above),), assumptions=(left_out,))
    assert one(job, "base_sliding").assumed == ("/walls/0/surcharge", "/walls/0/above/2")
    assert one(job, "base_sliding").status == "pass_as_assumed"
    assert one(job, "hinge_height").assumed == ("/walls/0/above/2",)
    assert one(job, "water_pressure").assumed == ("/water/outlet",)


def test_checks_of_layers_stand_where_they_are_quoted() -> None:
    """Layers that are only shown leave the plain stack's checks; a wall without layers has those
    either way."""
    job = job_of(set_wall("4 ft"), screening={"reinforcement": "compare"})
    found = screen(job, layouts_of(job))
    assert found.reinforcement
    builds = {
        reinforced: {c.build for c in found.checks(reinforced=reinforced) if c.check in OF_STACKS}
        for reinforced in (False, True)
    }
    assert builds == {False: {"gravity"}, True: {"reinforced"}}
    plain = job_of(set_wall("4 ft"))
    bare = screen(plain, layouts_of(plain))
    assert bare.checks(reinforced=True) == bare.checks(reinforced=False)
