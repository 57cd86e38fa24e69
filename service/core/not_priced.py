"""Parts of the job that the total leaves out, so that it is not complete."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from service.core.ground.balance import Earthwork
from service.core.job.job import Job
from service.core.job.rates import Rates
from service.core.layout.layout import WallLayout
from service.core.needed import run_is_open


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPriced:
    """A part of the job that the total leaves out; `field` is what would bring it in."""

    part: Literal["labor", "earthwork", "terms", "drainage"]
    field: str
    why: str


def not_priced(
    job: Job, layouts: tuple[WallLayout, ...], earthwork: Earthwork | None
) -> Iterator[NotPriced]:
    """What the total leaves out of earthwork, labor, drainage and terms, in that order."""
    if job.materials_only:
        why = "material alone was asked for"
        yield NotPriced(part="earthwork", field="/materials_only", why=why)
        yield NotPriced(part="labor", field="/materials_only", why=why)
    else:
        yield from _work_not_priced(job, layouts, earthwork)
    if run_is_open(job):
        why = "the run of the drain that is stated has no price"
        yield NotPriced(part="drainage", field="/terms/brings/run", why=why)
    if job.terms is None:
        yield NotPriced(part="terms", field="/terms", why="without terms the price is the cost")


def _work_not_priced(
    job: Job, layouts: tuple[WallLayout, ...], earthwork: Earthwork | None
) -> Iterator[NotPriced]:
    dug = [wall.wall for wall in earthwork.walls] if earthwork else []
    for index, layout in enumerate(layouts):
        if layout.name not in dug:
            yield NotPriced(
                part="earthwork",
                field=f"/walls/{index}/profile/0/existing_grade",
                why=f"{layout.name}: digging, backfill and hauling are not quoted without "
                "existing ground",
            )
    if job.rates is None:
        yield NotPriced(part="labor", field="/rates", why="no production rates were named")
    elif earthwork is not None and not _rates_dig(job.rates):
        why = "the rates hold no task that is measured by cut_volume: digging has no hours"
        yield NotPriced(part="labor", field="/rates", why=why)


def _rates_dig(rates: Rates) -> bool:
    measures = [
        *(task.measured_by for task in rates.tasks),
        *(task.measured_by for task in rates.machine_tasks),
    ]
    return "cut_volume" in measures
