"""All facts of a job that cautions can hang on: by wall, and of the whole job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.core.cautions.earth_facts import (
    job_earth_facts,
    tight_plan_fact,
    wall_earth_facts,
)
from service.core.cautions.facts import unit_weight_fact, wall_facts
from service.core.cautions.handling_facts import handling_fact
from service.core.cautions.load_facts import load_facts
from service.core.cautions.place_facts import (
    book_fact,
    course_fact,
    cut_facts,
    night_facts,
    season_facts,
    septic_fact,
    soil_facts,
)
from service.core.cautions.screening_facts import job_screening_facts, wall_screening_facts
from service.core.cautions.site_facts import pipe_facts, site_facts, water_facts
from service.core.cautions.tier_heights import tier_facts
from service.core.ground.balance import Earthwork
from service.core.job.fact import Fact, Facts
from service.core.job.job import Job
from service.core.job.terms import Terms
from service.core.labor.sequencing.phases import Phases, trench_facts
from service.core.layout.layout import WallLayout
from service.core.money import percent
from service.core.screening.screening import Screening


def facts_of(
    job: Job,
    layouts: Sequence[WallLayout],
    earth: Earthwork | None,
    phases: Phases | None,
    screening: Screening,
    *,
    reinforced: bool,
) -> tuple[Mapping[str, Facts], Facts]:
    """Facts by wall, and facts of the job, as `screen_cautions` takes them."""
    place, nights = job.jurisdiction, night_facts(phases)
    left_over_m = place.least_over("ground_left_standing")
    dug = wall_earth_facts(earth, left_over_m, job.units) if earth else {}
    trenches = trench_facts(phases, job.units) if phases else {}
    tiered = tier_facts(job.tiers, layouts, place.add_tiers_within, job.units)
    by_wall = {
        layout.name: {
            **_of_wall(job, layout, dug.get(layout.name, {}), earth),
            **tight_plan_fact(layout, job.section, earth, job.units),
            **trenches.get(layout.name, {}),
            **nights.get(layout.name, {}),
            **tiered.get(layout.name, {}),
            **pipe_facts(job.water, layout, job.section, job.units),
            **wall_screening_facts(job, layout, screening, reinforced=reinforced),
        }
        for layout in layouts
    }
    return by_wall, {
        **job_screening_facts(screening, reinforced=reinforced),
        **_of_job(job, layouts, earth),
    }


def _of_wall(job: Job, layout: WallLayout, dug: Facts, earth: Earthwork | None) -> Facts:
    """Facts of the wall itself, of its cut and of what stands above it."""
    place = job.jurisdiction
    own_earth = next((w for w in (earth.walls if earth else ()) if w.wall == layout.name), None)
    own: Facts = {**wall_facts(layout, job.section, job.units), **dug}
    return {
        **own,
        **course_fact(layout),
        **cut_facts(own, job.soils.retained, job.site, place, layout.spec, own_earth, job.units),
        **load_facts(layout, place.guard_reach_m, job.basis.beside.load_reach, job.units),
    }


def _of_job(job: Job, layouts: Sequence[WallLayout], earth: Earthwork | None) -> Facts:
    dug = [wall.wall for wall in earth.walls] if earth else []
    tax_assumed = any(a.field == "/terms/tax/base" for a in job.assumptions)
    return {
        "ground_not_measured": Fact(value=float(len(dug) < len(layouts))),
        "price_tax_assumed": Fact(value=float(tax_assumed)),
        **_markup_fact(job.terms),
        "prices_not_effective": Fact(value=float(job.prices_not_effective)),
        **unit_weight_fact(job.system, job.units),
        **handling_fact(job.system, job.jurisdiction.handling, job.units),
        **soil_facts(job.soils.retained, job.soils.fill, job.jurisdiction.presumptive, job.units),
        **season_facts(job.issued_month, job.jurisdiction),
        **book_fact(job.section, job.basis.id),
        **septic_fact(job.site),
        **(job_earth_facts(earth) if earth else {}),
        **water_facts(job.water, job.section, job.units),
        **site_facts(job.site, layouts, job.units),
    }


def _markup_fact(terms: Terms | None) -> Facts:
    """The markup as a share of cost; a margin, which is below 1, is none."""
    if terms is None or terms.profit.basis != "markup":
        return {}
    share = terms.profit.share
    return {"markup": Fact(value=float(share), words=f"The markup is {percent(share)}.")}
