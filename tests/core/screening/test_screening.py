"""All walls of a job: the sheet it names, the ground it lies on, and what is looked at beside
layers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.errors import QuoteFaultsError
from service.core.ground.known_ground import ground_of
from service.core.job.job import Job
from service.core.job.section import Excavation
from service.core.layout.layout import WallLayout, lay_out
from service.core.screening.gravity_screen import STACK_ROWS
from service.core.screening.reinforced_layout import sheet_of
from service.core.screening.screening import screen
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.quote_requests import Json
from tests.given.screened import set_request, set_wall, sets_catalog

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
