"""All facts of a job that cautions can hang on: by wall, and of the whole job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.core.cautions.earth_facts import (
    cut_fact,
    job_earth_facts,
    raised_side_fact,
    tight_plan_fact,
    wall_earth_facts,
)
from service.core.cautions.facts import unit_weight_fact, wall_facts
from service.core.cautions.handling_facts import handling_fact, lifts_per_minute
from service.core.cautions.load_facts import above_fact, load_facts, unbalanced_facts
from service.core.cautions.permit_heights import permit_fact, permit_heights
from service.core.cautions.place_facts import (
    book_fact,
    course_fact,
    cut_facts,
    pad_fact,
    presumed_words,
    season_facts,
    septic_fact,
    soil_facts,
)
from service.core.cautions.screening_facts import job_screening_facts, wall_screening_facts
from service.core.cautions.site_facts import pipe_facts, site_facts, street_fact, water_facts
from service.core.cautions.tier_heights import tier_facts
from service.core.cautions.work_facts import dust_fact, pallet_fact
from service.core.ground.balance import Earthwork
from service.core.job.fact import Fact, Facts
from service.core.job.job import Job
from service.core.job.terms import Terms
from service.core.labor.fit import NO_LIMITS, SiteLimits
from service.core.labor.hours import Labor
from service.core.labor.sequencing.phases import Phases, trench_facts
from service.core.layout.layout import WallLayout
from service.core.money import percent
from service.core.screening.screening import Screening


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkOfCrews:
    """Hours, order and limits of the work; without rates there are no hours and no order."""

    limits: SiteLimits = NO_LIMITS
    labor: Labor | None = None
    phases: Phases | None = None


def facts_of(
    job: Job,
    layouts: Sequence[WallLayout],
    earth: Earthwork | None,
    work: WorkOfCrews,
    screening: Screening,
    *,
    reinforced: bool,
) -> tuple[Mapping[str, Facts], Facts]:
    """Facts by wall, and facts of the job, as `screen_cautions` takes them."""
    place, phases = job.jurisdiction, work.phases
    left_over_m = place.least_over("ground_left_standing")
    dug = wall_earth_facts(earth, left_over_m, job.units) if earth else {}
    trenches = trench_facts(phases, job.units) if phases else {}
    measured_m = permit_heights(layouts, job.section, place.height_from)
    tiered = tier_facts(job.tiers, layouts, place.add_tiers_within, measured_m, job.units)
    by_wall = {
        layout.name: {
            **_of_wall(job, layout, dug.get(layout.name, {}), earth),
            **course_fact(layout, job.rates, measured=layout.name in dug),
            **tight_plan_fact(layout, job.section, earth, job.units),
            **(raised_side_fact(layout, job.units) if layout.name in dug else {}),
            **trenches.get(layout.name, {}),
            **tiered.get(layout.name, {}),
            **pipe_facts(job.water, layout, job.section, job.units),
            **wall_screening_facts(job, layout, screening, reinforced=reinforced),
        }
        for layout in layouts
    }
    return by_wall, {
        **job_screening_facts(screening, job.units, reinforced=reinforced),
        **cut_fact(by_wall, place.spoil_back_m, job.units),
        **_of_work(job, layouts, work),
        **_of_job(job, layouts, earth),
    }


def _of_work(job: Job, layouts: Sequence[WallLayout], work: WorkOfCrews) -> Facts:
    """Facts of what people lift, cut and break."""
    often = lifts_per_minute(job.rates, work.labor)
    return {
        **unit_weight_fact(job.system, job.units),
        **handling_fact(job.system, job.jurisdiction.handling, often, job.units),
        **dust_fact(job, layouts, work.labor),
        **pallet_fact(job, work.limits),
    }


def _of_wall(job: Job, layout: WallLayout, dug: Facts, earth: Earthwork | None) -> Facts:
    """Facts of the wall itself, of its cut and of what stands above it."""
    place = job.jurisdiction
    reach = job.basis.beside.load_reach
    presumed = presumed_words(job.soils.retained, place.presumptive, job.units)
    own_earth = next((w for w in (earth.walls if earth else ()) if w.wall == layout.name), None)
    own: Facts = {**wall_facts(layout, job.section, job.units), **dug}
    above = above_fact(layout, reach, place.slope_over, job.units)
    return {
        **own,
        **permit_fact(layout, job.section, place.height_from, job.units),
        **above,
        **cut_facts(own, job.soils.retained, job.site, place, layout.spec, own_earth, job.units),
        **load_facts(layout, place.guard_reach_m, reach, job.units),
        **unbalanced_facts(layout, above, presumed, job.units),
    }


def _of_job(job: Job, layouts: Sequence[WallLayout], earth: Earthwork | None) -> Facts:
    dug = [wall.wall for wall in earth.walls] if earth else []
    tax_assumed = any(a.field == "/terms/tax/base" for a in job.assumptions)
    return {
        "ground_not_measured": Fact(value=float(len(dug) < len(layouts))),
        "price_tax_assumed": Fact(value=float(tax_assumed)),
        **_markup_fact(job.terms),
        "prices_not_effective": Fact(value=float(job.prices_not_effective)),
        **soil_facts(job.soils.retained, job.soils.fill, job.jurisdiction.presumptive),
        **pad_fact(job),
        **season_facts(job.issued_month, job.jurisdiction),
        **book_fact(job.section, job.basis.id),
        **septic_fact(job.site),
        **(job_earth_facts(earth, job.units) if earth else {}),
        **water_facts(job.water, job.section, job.units),
        **site_facts(job.site, layouts, job.units),
        **street_fact(job.site, job.access),
    }


def _markup_fact(terms: Terms | None) -> Facts:
    """The markup as a share of cost; a margin, which is below 1, is none."""
    if terms is None or terms.profit.basis != "markup":
        return {}
    share = terms.profit.share
    return {"markup": Fact(value=float(share), words=f"The markup is {percent(share)}.")}
