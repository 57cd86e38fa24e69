"""Facts of a screening that cautions hang on: what fails, what nobody can see from here."""

from __future__ import annotations

from collections.abc import Iterator

from service.core.ground.ground import measure_ground
from service.core.job.fact import Fact, Facts
from service.core.job.job import Job
from service.core.layout.layout import WallLayout
from service.core.rounding import CLOSE_M
from service.core.screening.check import Check
from service.core.screening.check_words import CHECK_WORDS
from service.core.screening.screening import Screening

_SOFT = ("clay",)
_LOOSE_SIGNS = ("fill", "slide", "spring")
# Slopes from which the whole slope is in question (rule 14.8): 3:1, from
# which the association and highway tables ask for more (common practice).
_STEEP = 1 / 3


def wall_screening_facts(
    job: Job, layout: WallLayout, screening: Screening, *, reinforced: bool
) -> Facts:
    """What the checks found at one wall, as it is quoted."""
    own = [c for c in screening.checks(reinforced=reinforced) if c.wall == layout.name]
    plain = [c for c in own if c.failed and c.build == "gravity" and c.check in CHECK_WORDS]
    layered = [c for c in own if c.failed and c.build == "reinforced" and c.check in CHECK_WORDS]
    apart = [c for c in own if c.failed and c.check == "tier_independence"]
    reasons = tuple(_slope_reasons(job, layout))
    return {
        "gravity_fails": _named(plain),
        "reinforcement_fails": _named(layered),
        "tiers_not_independent": Fact(
            value=float(bool(apart)), words=" ".join(line for c in apart for line in c.how)
        ),
        "overall_slope": Fact(
            value=float(bool(reasons)), words=f"Here: {', '.join(reasons)}." if reasons else ""
        ),
    }


def job_screening_facts(screening: Screening, *, reinforced: bool) -> Facts:
    """What holds for the whole job."""
    unknown = any(
        check.check == "base_sliding" and check.status == "not_checked"
        for check in screening.checks(reinforced=reinforced)
    )
    return {
        "not_screened": Fact(value=float(unknown)),
        "screened": Fact(value=float(not unknown)),
        "reinforced": Fact(value=float(reinforced)),
    }


def _named(failed: list[Check]) -> Fact:
    words = ", ".join(CHECK_WORDS[check.check] for check in failed)
    return Fact(value=float(bool(failed)), words=f"Too little: {words}." if failed else "")


def _slope_reasons(job: Job, layout: WallLayout) -> Iterator[str]:
    """Why the whole slope, and not the wall alone, may move."""
    spec = layout.spec
    if max(spec.front_slope, spec.back_slope) >= _STEEP:
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
