"""The smallest job: walls alone, and nothing that is asked, priced or known beside them."""

from __future__ import annotations

from types import MappingProxyType

from service.core.job.job import Job
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.spec import WallSpec
from service.core.measure import US
from tests.given.basis import ASSOCIATION
from tests.given.earth import EARTH_RULES
from tests.given.walls import section, system


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
