"""Other walls that would pass: fewer courses, deeper units of the catalog (rule 14.12)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from service.core.built import Built, lay_out_walls
from service.core.errors import QuoteFaultsError
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.layout.heights import raised
from service.core.screening.screening import Screening, screen
from service.core.would_pass.alternative import Alternative, Offered
from service.core.would_pass.changes import has_price
from service.core.would_pass.tried import failing_walls, tried

MOST_COURSES_LESS = 6
# The nearest of the deeper units are tried.
MOST_SYSTEMS = 4


def other_walls(
    failing: Built, offered: Offered, prices: PriceList | None
) -> tuple[Alternative, ...]:
    """Lower walls first, then deeper units."""
    return (*_fewer_courses(failing), *_deeper_units(failing, offered, prices))


def _fewer_courses(failing: Built) -> Iterator[Alternative]:
    """Walls that fail, lowered by a course at a time until no check fails."""
    job = failing.job
    names = failing_walls(failing.screening, job)
    for _ in range(MOST_COURSES_LESS):
        job = replace(
            job,
            walls=tuple(
                raised(wall, -job.system.standard.height_m) if wall.name in names else wall
                for wall in job.walls
            ),
        )
        try:
            names = failing_walls(_screened(job, failing), job)
        except QuoteFaultsError:
            return
        if not names:
            if tried(("fewer_courses",), job, failing).passes:
                yield Alternative(changes=("fewer_courses",), job=job)
            return


def _screened(job: Job, failing: Built) -> Screening:
    return screen(job, lay_out_walls(job, failing.ground), failing.ground)


def _deeper_units(
    failing: Built, offered: Offered, prices: PriceList | None
) -> Iterator[Alternative]:
    """Systems of deeper units that have prices and pass as asked, the least deep first."""
    job = failing.job
    deeper = (
        system
        for system in offered.systems
        if system.standard.depth_m > job.system.standard.depth_m
        and all(
            has_price(prices, unit.item)
            for unit in (system.standard, system.corner, system.cap)
            if unit
        )
    )
    ordered = sorted(deeper, key=lambda system: (system.standard.depth_m, system.id))
    for system in islice(ordered, MOST_SYSTEMS):
        changed = replace(job, system=system)
        if tried(("deeper_units",), changed, failing).passes:
            yield Alternative(changes=("deeper_units",), job=changed)
