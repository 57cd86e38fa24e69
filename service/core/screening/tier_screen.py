"""Two walls, one above the other: whether each is a wall of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial

from service.core.errors import Fault
from service.core.job.basis import Required
from service.core.job.job import Job
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.spec import Tier
from service.core.layout.layout import WallLayout
from service.core.measure import number
from service.core.rounding import CLOSE_M
from service.core.screening.check import Check, Finding, Named, holds, judge


def tier_faults(job: Job, layouts: Mapping[str, WallLayout]) -> Iterator[Fault]:
    """Tiers whose upper wall stands on the lower one: nearer than the back of its top course."""
    show = job.units.show
    for index, tier in enumerate(job.tiers):
        lower = layouts[tier.lower]
        top = max(stretch.top_joint for stretch in lower.stretches)
        back = lower.offset_m(top - 1) + job.system.standard.depth_m
        if tier.offset_m < back - CLOSE_M:
            yield Fault(
                code="tier-on-tier",
                at=("tiers", index, "offset"),
                message=f"{tier.upper} stands {show(tier.offset_m, 'length')} behind "
                f"{tier.lower}, whose top course reaches back {show(back, 'length')}",
                hint=f"{show(back, 'length')} or more, from face to face at the base",
            )


def screen_tiers(
    check: Named, job: Job, layouts: Mapping[str, WallLayout], stability: Iterable[Check]
) -> Iterator[Check]:
    """Whether each pair of tiers is two walls: offset over the largest exposed height of either.

    The check stands at the lower wall. Nearer than is required the two are one wall to the place:
    higher together than it lets walls be built without a permit, or where any check of the lower
    one fails, the check fails; else it passes as assumed.
    """
    tiers = job.basis.tiers
    share = tiers.independent_share
    required = Required(value=share, text=number(share, 4), source=tiers.source)
    failed = {each.wall for each in stability if each.failed}
    for tier in job.tiers:
        found = _finding(check, tier, layouts, job)
        judged = judge(found, required, tier.lower, "gravity", ())
        low = together_m(tier, layouts) <= _permit_m(job.jurisdiction) + CLOSE_M
        if not holds(found, required) and low and tier.lower not in failed:
            judged = replace(judged, status="pass_as_assumed", assumed=("/tiers",))
        yield judged


def together_m(tier: Tier, layouts: Mapping[str, WallLayout]) -> float:
    """Height of two tiers as one wall: lowest underside to highest top as built."""
    walls = [layouts[tier.lower], layouts[tier.upper]]
    highest = max(wall.built_top_m for wall in walls)
    lowest = min(
        wall.grid.level_m(min(stretch.base for stretch in wall.stretches)) for wall in walls
    )
    return max(highest - lowest, *(wall.max_wall_height_m for wall in walls))


def _permit_m(place: Jurisdiction) -> float:
    """Height from which the place asks for a permit."""
    return min(place.least_over("combined_height"), place.least_over("permit_height"))


def _finding(check: Named, tier: Tier, layouts: Mapping[str, WallLayout], job: Job) -> Finding:
    taller = max(layouts[name].max_exposed_m for name in (tier.lower, tier.upper))
    told = partial(_told, tier, taller, layouts, job)
    return Finding(check=check, station_m=0.0, value=tier.offset_m / taller, told=told)


def _told(
    tier: Tier, taller_m: float, layouts: Mapping[str, WallLayout], job: Job
) -> tuple[str, ...]:
    show = job.units.show
    words = (
        f"{tier.upper} stands {show(tier.offset_m, 'length')} behind {tier.lower}, the taller of "
        f"the two shows {show(taller_m, 'length')}, together they are "
        f"{show(together_m(tier, layouts), 'length')} high"
    )
    return (words,)
