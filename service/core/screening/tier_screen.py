"""Two walls, one above the other: when they are two, and what the upper one puts on the lower."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from service.core.job.basis import Basis, Required
from service.core.job.job import Job
from service.core.job.spec import Tier
from service.core.layout.layout import WallLayout
from service.core.measure import number
from service.core.screening.check import Check, Finding, Named, judge, not_checked
from service.core.screening.loads import surcharge_at
from service.core.screening.soil_figures import SoilFigures
from service.core.screening.tier_statics import acts_as_one, independent_offset_share


def screen_tiers(
    check: Named, job: Job, layouts: Mapping[str, WallLayout], soils: SoilFigures | None
) -> Iterator[Check]:
    """Whether each pair of tiers is two walls: offset over the height of the lower wall.

    The check stands at the lower wall. Two that are not independent hold each other's soil: the
    lower one carries the upper, and the slope under both is a question for an engineer.
    """
    required = _required(soils, job.basis)
    for tier in job.tiers:
        if required is None:
            lacks = "/soils/retained: the offset goes by its friction angle"
            yield not_checked(check, tier.lower, [lacks], job.basis.tiers.source)
        else:
            yield judge(_finding(check, tier, layouts, job), required, tier.lower, "gravity", ())


def _finding(check: Named, tier: Tier, layouts: Mapping[str, WallLayout], job: Job) -> Finding:
    lower_m = layouts[tier.lower].max_wall_height_m
    upper_m = layouts[tier.upper].max_wall_height_m
    show, share = job.units.show, job.basis.tiers.one_wall_share
    how = [
        (
            f"{tier.upper} stands {show(tier.offset_m, 'length')} behind {tier.lower}, which is "
            f"{show(lower_m, 'length')} high"
        )
    ]
    if acts_as_one(tier.offset_m, upper_m, lower_m, share):
        how.append(
            f"an offset within {number(share, 3)} of both heights: one wall "
            f"of {show(lower_m + upper_m, 'length')}"
        )
    return Finding(check=check, station_m=0.0, value=tier.offset_m / lower_m, how=tuple(how))


def _required(soils: SoilFigures | None, basis: Basis) -> Required | None:
    """Offset in heights of the lower wall: a rule of thumb, or tan(90 deg - friction angle)."""
    share = basis.tiers.independent_share
    if share is None:
        if soils is None:
            return None
        share = independent_offset_share(soils.friction_rad)
    return Required(value=share, text=number(share, 4), source=basis.tiers.source)


def load_from_above_pa(
    wall: str,
    wall_height_m: float,
    tiers: Sequence[Tier],
    layouts: Mapping[str, WallLayout],
    weight_n_m3: float,
    reach: float,
) -> float:
    """Pressure that upper tiers put on the ground behind a wall, in Pa.

    An upper wall nearer than `reach` heights counts in full, as a block of soil as high as the
    wall, with what stands on it; so do those that stand as near behind it, each once.
    """
    counted: dict[str, float] = {}
    below = [(wall, wall_height_m)]
    while below:
        name, height = below.pop()
        for tier in tiers:
            near = tier.lower == name and tier.offset_m < reach * height
            if near and tier.upper not in counted:
                upper = layouts[tier.upper]
                tall = upper.max_wall_height_m
                counted[tier.upper] = weight_n_m3 * tall + surcharge_at(upper.spec, tall, reach)
                below.append((tier.upper, tall))
    return math.fsum(counted.values())
