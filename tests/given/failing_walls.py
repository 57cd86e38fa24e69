"""Walls that fail as plain stacks, and what a search of their changes is given and finds."""

from __future__ import annotations

from service.core.built import Built
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.job.soil import Soil
from service.core.quote import planned
from service.core.would_pass.alternative import Offered, WouldPass
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.catalogs import shipped_catalog
from tests.given.lawn_walls import lawn_request
from tests.given.quote_requests import Json
from tests.given.screened import set_request, set_wall, sets_catalog

NOTHING = Offered(soils=(), systems=())


def job_of(*walls: Json, **more: object) -> tuple[Job, PriceList]:
    """Walls of the constructed sets, and their prices."""
    catalog = sets_catalog()
    return to_core(read_request(set_request(*walls, **more), catalog, None), catalog)


def failing() -> tuple[Job, PriceList]:
    """Stack G2: 4 ft of soil of 30 deg behind units of 12 in fail as a plain stack."""
    return job_of(set_wall("4 ft"))


def before_a_lawn(exposed: str = "3 ft") -> tuple[Job, PriceList]:
    """A wall of loam; at 3 ft it fails as a plain stack."""
    catalog = shipped_catalog()
    return to_core(read_request(lawn_request("loam", exposed), catalog, None), catalog)


def capped(height: str, friction: int) -> Built:
    """A wall with a cap without weight and no sheet to lay, soil of so many degrees behind it, on
    ground of 36 deg, so that its overturning fails first."""
    soil = f"phi{friction}"
    soils = {"retained": soil, "foundation": "phi36", "fill": soil}
    more = {"wall_system": "capped", "section": "strong_pad", "soils": soils}
    job, _ = job_of(set_wall(height), **more)
    return planned(job, None)


def soils_of(*frictions: int) -> tuple[Soil, ...]:
    """Soils of the constructed sets by their friction angle, degrees."""
    catalog = sets_catalog()
    return tuple(catalog.soils[f"phi{friction}"].core for friction in frictions)


def searched(found: WouldPass | None) -> WouldPass:
    """What was found, where a check fails."""
    assert found is not None
    return found
