"""Checks of a job that no formula answers: the slope as a whole, and water behind the walls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import assert_never

from service.core.job.job import Job
from service.core.job.site import Outlet
from service.core.layout.layout import WallLayout
from service.core.screening.check import Check, Named, not_checked

_DRAINED = "common practice: walls are screened as drained (rule 14.8)"


def overall_slope(
    check: Named, job: Job, layouts: Mapping[str, WallLayout], _: Iterable[Check]
) -> Iterator[Check]:
    """The slope as a whole, which nothing here looks at."""
    lacks = ["a slope stability analysis by a licensed engineer"]
    return (not_checked(check, wall, lacks, job.basis.source) for wall in layouts)


def water_pressure(
    check: Named, job: Job, layouts: Mapping[str, WallLayout], _: Iterable[Check]
) -> Iterator[Check]:
    """Water behind a wall, which nothing here counts: it goes by what was said of the outlet."""
    outlet = job.water.outlet if job.water else None
    return (_drained(check, wall, outlet) for wall in layouts)


def _drained(check: Named, wall: str, outlet: Outlet | None) -> Check:
    found = Check(check=check.name, limit=check.limit, wall=wall, status="fail", source=_DRAINED)
    match outlet:
        case None:
            lacks = ["/water/outlet: where the drain lets its water go"]
            return not_checked(check, wall, lacks, _DRAINED)
        case "none":
            return found
        case "through_face" | "around_end" | "daylight" | "storm_drain" | "pit":
            return replace(found, status="pass_as_assumed", assumed=("/water/outlet",))
        case other:
            assert_never(other)
