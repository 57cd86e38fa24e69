"""Walls that an engineer must design where they don't pass, whatever would make them pass."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from service.core.cautions.caution import Cautions
from service.core.cautions.screening_facts import slope_reasons
from service.core.job.job import Job
from service.core.job.jurisdiction import Trigger
from service.core.job.spec import LoadAbove
from service.core.layout.layout import WallLayout

# Raised by the checks themselves: these are what changes answer.
OF_CHECKS: tuple[Trigger, ...] = ("gravity_fails", "reinforcement_fails")
_ENGINEER = "engineer"
# Why a place asks for an engineer, by what raised its caution; all else is a rule of the place.
_BECAUSE: Mapping[Trigger, str] = MappingProxyType(
    {
        "exposed_height": "the height of a wall",
        "wall_height": "the height of a wall",
        "permit_height": "the height of a wall",
        "combined_height": "the height of tiers together",
        "unbalanced_fill": "the height of the soil that a wall holds",
        "unbalanced_fill_loaded": "the height of the soil that a wall holds under a load",
        "load_or_slope_above": "a load or slope above a wall",
        "engineer_load": "the load above a wall",
        "back_slope": "the slope above a wall",
        "tiers_not_independent": "tiers that act together",
        "reinforced": "layers of reinforcement",
    }
)
_RULE_OF_PLACE = "a rule of this place"
_BUILDING_WITHIN = 2.0  # heights of the wall (rule 14.13)


def walls_for_engineer(
    job: Job, layouts: Sequence[WallLayout], cautions: Cautions
) -> frozenset[str]:
    """Names of walls where height, load, slope, tiers or the place's rule call for an engineer,
    the ground is soft, filled or wet, or a building stands near (rule 14.13)."""
    asked = [code for code in beside_checks(job, cautions) if code.startswith(_ENGINEER)]
    places = {place for code in asked for place in cautions.held_at[code]}
    return frozenset(
        layout.name
        for layout in layouts
        if places & {None, layout.name}
        or any(slope_reasons(job, layout))
        or any(_building_near(load, layout) for load in layout.spec.above)
    )


def engineer_reasons(job: Job, cautions: Cautions) -> tuple[str, ...]:
    """Why the place asks for an engineer whatever the checks say, each reason once."""
    held = [code for code in beside_checks(job, cautions) if code.startswith(_ENGINEER)]
    triggers = {rule.code: rule.trigger for rule in job.jurisdiction.cautions}
    asked = (triggers[code] for code in held)
    return tuple(dict.fromkeys(_BECAUSE.get(trigger, _RULE_OF_PLACE) for trigger in asked))


def beside_checks(job: Job, cautions: Cautions) -> tuple[str, ...]:
    """Codes of the cautions that hold, but those that only repeat that a check fails."""
    of_checks = {rule.code for rule in job.jurisdiction.cautions if rule.trigger in OF_CHECKS}
    return tuple(code for code in cautions.held if code not in of_checks)


def _building_near(load: LoadAbove, layout: WallLayout) -> bool:
    return "building" in load.near and load.from_m < _BUILDING_WITHIN * layout.max_wall_height_m
