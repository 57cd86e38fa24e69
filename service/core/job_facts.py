"""All facts of a job that cautions can hang on: by wall, and of the whole job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.core.balance import Earthwork
from service.core.earth_facts import job_earth_facts, wall_earth_facts
from service.core.facts import Fact, Facts, unit_weight_fact, wall_facts
from service.core.job import Job
from service.core.layout import WallLayout
from service.core.phases import Phases, trench_facts
from service.core.site_facts import pipe_facts, site_facts, water_facts


def facts_of(
    job: Job, layouts: Sequence[WallLayout], earth: Earthwork | None, phases: Phases | None = None
) -> tuple[Mapping[str, Facts], Facts]:
    """Facts by wall, and facts of the job, as `screen_cautions` takes them."""
    dug = wall_earth_facts(earth, job.units) if earth else {}
    trenches = trench_facts(phases, job.units) if phases else {}
    by_wall = {
        layout.name: {
            **wall_facts(layout, job.section, job.units),
            **dug.get(layout.name, {}),
            **trenches.get(layout.name, {}),
            **pipe_facts(job.water, layout, job.section, job.units),
        }
        for layout in layouts
    }
    return by_wall, _of_job(job, layouts, earth)


def _of_job(job: Job, layouts: Sequence[WallLayout], earth: Earthwork | None) -> Facts:
    dug = [wall.wall for wall in earth.walls] if earth else []
    tax_assumed = any(a.field == "/terms/tax/base" for a in job.assumptions)
    return {
        "ground_not_measured": Fact(value=float(len(dug) < len(layouts))),
        "not_screened": Fact(value=1.0),
        "price_tax_assumed": Fact(value=float(tax_assumed)),
        "prices_not_effective": Fact(value=float(job.prices_not_effective)),
        **unit_weight_fact(job.system, job.units),
        **(job_earth_facts(earth) if earth else {}),
        **water_facts(job.water, job.section, job.units),
        **site_facts(job.site, layouts, job.units),
    }
