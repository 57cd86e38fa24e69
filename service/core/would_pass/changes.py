"""The changes to a wall that fails, each with the ways to make it (rule 14.12)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.core.built import QUOTED, Built
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.job.soil import Soil
from service.core.job.spec import WallSpec
from service.core.layout.soil_below_cap import with_soil_below_cap
from service.core.takeoff.earth_lines import IMPORT_FILL
from service.core.would_pass.alternative import ChangeName, Offered
from service.core.would_pass.tried import failing_walls

# The strongest of the better fills are tried.
MOST_FILLS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One change: other walls, another fill, or layers where a plain stack fails."""

    change: ChangeName
    walls: tuple[WallSpec, ...] | None = None
    fill: Soil | None = None

    def of(self, job: Job) -> Job:
        """The job with the change."""
        if self.walls is not None:
            return replace(job, walls=self.walls)
        if self.fill is not None:
            return replace(job, soils=replace(job.soils, fill=self.fill))
        return replace(job, reinforcing="where_needed")


def ways(failing: Built, offered: Offered, prices: PriceList | None) -> Iterator[tuple[Edit, ...]]:
    """Each change that can be made, with the ways to make it, the least first."""
    job = failing.job
    names = failing_walls(failing.screening, job)
    walls = tuple(
        with_soil_below_cap(layout, job.units) if layout.name in names else layout.spec
        for layout in failing.layouts
    )
    if walls != job.walls:
        yield (Edit(change="soil_below_cap", walls=walls),)
    if fills := tuple(
        Edit(change="better_fill", fill=soil) for soil in _better(failing, offered, prices)
    ):
        yield fills
    item = job.section.reinforcement_item
    if job.reinforcing not in QUOTED and item and has_price(prices, item):
        yield (Edit(change="layers"),)


def has_price(prices: PriceList | None, item: str) -> bool:
    """Whether a list has a price of an item; yes where nobody asks for prices."""
    return prices is None or item in prices.items or item in prices.overrides


def _better(failing: Built, offered: Offered, prices: PriceList | None) -> list[Soil]:
    """Soils with a larger friction angle than the fill has, that may go back and have a price."""
    now = failing.job.soils.fill or failing.job.soils.retained
    if now is None or not has_price(prices, IMPORT_FILL):
        return []
    better = (
        soil
        for soil in offered.soils
        if soil.friction_angle_rad > now.friction_angle_rad and soil.reusable
    )
    return sorted(better, key=lambda soil: (soil.friction_angle_rad, soil.id))[-MOST_FILLS:]
