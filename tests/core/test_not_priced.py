"""Parts of the job that the total leaves out."""

from __future__ import annotations

from dataclasses import replace

from service.core.built import lay_out_walls
from service.core.job.job import Job
from service.core.job.site import Water
from service.core.job.terms import Terms
from service.core.not_priced import not_priced
from tests.given.jobs import dug_job, earth_of
from tests.given.machines import machine_rates, machine_task
from tests.given.money import rates, task
from tests.given.walls import level_wall

DIGS = rates(task("dig", by="cut_volume", unit="yd3"))


def whole(job: Job) -> Job:
    """The job with rates that dig and with terms."""
    return replace(job, rates=DIGS, terms=Terms())


def left_out(job: Job, *, dug: bool = True) -> list[tuple[str, str]]:
    """Parts that are left out, with the field that would bring each in."""
    earth = earth_of(job) if dug else None
    return [(each.part, each.field) for each in not_priced(job, lay_out_walls(job), earth)]


def test_not_priced_is_empty_where_all_is_there() -> None:
    """A wall that is dug, rates that dig by hand or by machine, terms."""
    job = whole(dug_job())
    assert left_out(job) == []
    by_machine = machine_rates(machine_task(by="cut_volume", unit="yd3"))
    assert left_out(replace(job, rates=by_machine)) == []


def test_not_priced_names_all_that_is_left_out_in_order() -> None:
    """The second wall has no ground that it could be dug from; nobody works, a run is stated that
    nothing prices, and there are no terms."""
    job = dug_job()
    bare = level_wall(name="bare")
    job = replace(job, walls=(*job.walls, bare), water=Water(outlet="daylight", run_m=12.0))
    assert left_out(job) == [
        ("earthwork", "/walls/1/profile/0/existing_grade"),
        ("labor", "/rates"),
        ("drainage", "/terms/brings/run"),
        ("terms", "/terms"),
    ]


def test_not_priced_names_labor_once() -> None:
    """Material alone was asked for, which nobody digs for either, with rates or without; or the
    rates hold no task that digs, which is nothing missing where nothing is dug."""
    job = whole(dug_job())
    for of in (DIGS, None):
        alone = replace(job, materials_only=True, rates=of)
        parts = ("earthwork", "labor")
        assert left_out(alone, dug=False) == [(part, "/materials_only") for part in parts]
    sets = replace(job, rates=rates(task()))
    assert left_out(sets) == [("labor", "/rates")]
    earthwork = ("earthwork", "/walls/0/profile/0/existing_grade")
    assert left_out(replace(sets, walls=(level_wall(),)), dug=False) == [earthwork]
