"""The smallest job: walls alone, and nothing that is asked, priced or known beside them."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from service.core.built import lay_out_walls
from service.core.ground.balance import Earthwork
from service.core.ground.groundwork import dig
from service.core.job.job import Job, Soils
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.spec import WallSpec
from service.core.measure import US
from tests.given.basis import ASSOCIATION
from tests.given.earth import EARTH_RULES, dig_section, ground_wall, soil
from tests.given.walls import ft, section, system


def job_of(*walls: WallSpec) -> Job:
    """A job of these walls; nothing of it is priced here."""
    return Job(
        units=US,
        walls=walls,
        system=system(),
        section=section(),
        materials=MappingProxyType({}),
        jurisdiction=Jurisdiction(
            id="here", version="1", title="Here", cautions=(), earth=EARTH_RULES
        ),
        basis=ASSOCIATION,
    )


def dug_job() -> Job:
    """A job of one wall of 4 ft before ground of 4 ft."""
    spec = ground_wall((0, 4, 0, 4), (40, 4, 0, 4), graded_in_front_m=ft(3), graded_behind_m=ft(20))
    return replace(job_of(spec), section=dig_section(), soils=Soils(retained=soil()))


def earth_of(job: Job) -> Earthwork:
    """What is dug for a job; that nothing is, is a failure."""
    earth = dig(job, lay_out_walls(job)).earth
    assert earth is not None
    return earth
