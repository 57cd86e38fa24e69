"""Facts of a screening that cautions hang on: what fails, what nobody can see from here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from service.core.ground.ground import measure_ground
from service.core.job.basis import CheckName
from service.core.job.fact import Fact, Facts
from service.core.job.job import Job
from service.core.job.jurisdiction import Trigger
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M
from service.core.screening.check import Build, Check
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.screening import Screening

_RAISED_BY: Mapping[Trigger, tuple[tuple[CheckName, Build], ...]] = MappingProxyType(
    {
        trigger: tuple(
            (row.name, build)
            for row in CHECK_TABLE.values()
            for build, raised in row.cautions.items()
            if raised == trigger
        )
        for each in CHECK_TABLE.values()
        for trigger in each.cautions.values()
    }
)
# What is said once for the job, as it fails for all walls alike.
_OF_JOB: tuple[Trigger, ...] = ("outlet_none",)
_SOFT = ("clay",)
_LOOSE_SIGNS = ("fill", "slide", "spring")


def wall_screening_facts(
    job: Job, layout: WallLayout, screening: Screening, *, reinforced: bool
) -> Facts:
    """What the checks found at one wall, as it is quoted."""
    own = [c for c in screening.checks(reinforced=reinforced) if c.wall == layout.name]
    failing = failing_facts(own)
    facts = {trigger: fact for trigger, fact in failing.items() if trigger not in _OF_JOB}
    if reasons := tuple(slope_reasons(job, layout)):
        facts["overall_slope"] = Fact(value=1.0, words=f"Here: {', '.join(reasons)}.")
    return facts


def job_screening_facts(screening: Screening, units: UnitSet, *, reinforced: bool) -> Facts:
    """What holds for the whole job."""
    checks = screening.checks(reinforced=reinforced)
    unknown = any(
        check.check == "base_sliding" and check.status == "not_checked" for check in checks
    )
    failing = failing_facts(checks)
    return {
        **{trigger: fact for trigger, fact in failing.items() if trigger in _OF_JOB},
        "not_screened": Fact(value=float(unknown)),
        "screened": Fact(value=float(not unknown)),
        "reinforced": Fact(value=float(reinforced)),
        **_cover_fact(screening, units, reinforced=reinforced),
    }


def _cover_fact(screening: Screening, units: UnitSet, *, reinforced: bool) -> Facts:
    """How much fill the basis wants over a layer before tracked machines drive there."""
    cover = screening.basis.layers.cover_m
    if cover is None or not reinforced:
        return {}
    words = f"At least {units.show(cover, 'length', units.small_length)} of it."
    return {"layer_cover": Fact(value=1.0, words=words)}


def failing_facts(checks: Sequence[Check]) -> dict[Trigger, Fact]:
    """What every check that fails raises: by trigger, with the names of the checks, or with their
    arithmetic where one check alone raises it."""
    facts: dict[Trigger, Fact] = {}
    for trigger, names in _RAISED_BY.items():
        failed = [c for c in checks if c.failed and (c.check, c.build) in names]
        if not failed:
            facts[trigger] = Fact(value=0.0)
        elif len(names) == 1:
            facts[trigger] = Fact(value=1.0, words=" ".join(line for c in failed for line in c.how))
        else:
            words = ", ".join(CHECK_TABLE[check.check].words for check in failed)
            facts[trigger] = Fact(value=1.0, words=f"Too little: {words}.")
    return facts


def slope_reasons(job: Job, layout: WallLayout) -> Iterator[str]:
    """Why the whole slope, and not the wall alone, may move."""
    spec = layout.spec
    if max(spec.front_slope, spec.back_slope) >= job.basis.beside.steep:
        yield "steep ground"
    if any(layout.name in (tier.lower, tier.upper) for tier in job.tiers):
        yield "tiers"
    seen = job.site.seen if job.site else ()
    yield from (f"{sign} was seen" for sign in _LOOSE_SIGNS if sign in seen)
    if job.water and "wet_ground" in job.water.seen:
        yield "wet ground"
    if _stands_on_fill(job, layout):
        yield "the wall stands on fill"
    under = job.soils.foundation or job.soils.retained
    if under and under.kind in _SOFT:
        yield f"{under.title.lower()} under the wall"


def _stands_on_fill(job: Job, layout: WallLayout) -> bool:
    """Whether the pad lies above the ground that was there, at the plan line, where measured.

    All levels are linear along a stretch and between entries: its ends tell.
    """
    if job.materials_only:  # its ground may not even be sound
        return False
    pieces, pad_m = measure_ground(layout), job.section.leveling_pad.thickness_m
    for stretch in layout.stretches:
        bottom = layout.grid.level_m(stretch.base) - pad_m
        for station in (stretch.from_m, stretch.to_m):
            here = (piece for piece in pieces if piece.from_m <= station <= piece.to_m)
            if any(piece.at(station).at(0.0) < bottom - CLOSE_M for piece in here):
                return True
    return False
