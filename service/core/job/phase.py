"""The words for the order of work: phases, what is done once and what wall by wall, and the rules
of weather and open trenches that go with them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Literal, get_args

Phase = Literal[
    "take_down",
    "rough_cut",
    "trench_and_pad",
    "base_course",
    "backfill_base",
    "build_and_backfill",
    "cap",
    "grade",
    "topsoil_and_sod",
    "clean_up",
]
# In the order of work: what comes down first, the lawn last.
PHASES: tuple[Phase, ...] = get_args(Phase)
PHASE_TITLES: Mapping[Phase, str] = MappingProxyType(
    {
        "take_down": "Take down",
        "rough_cut": "Rough cut",
        "trench_and_pad": "Trench and pad",
        "base_course": "Base course",
        "backfill_base": "Backfill the base course",
        "build_and_backfill": "Build and backfill",
        "cap": "Cap",
        "grade": "Grade",
        "topsoil_and_sod": "Topsoil and sod",
        "clean_up": "Clean up",
    }
)
# Done wall by wall; the others are done once, before the first or after the last wall.
WALL_PHASES: tuple[Phase, ...] = PHASES[1:7]
# From the first shovel in the trench until it is filled again.
OPEN_PHASES: tuple[Phase, ...] = PHASES[2:6]
# Where a task stands whose file names no phase.
DEFAULT_PHASE: Phase = "build_and_backfill"


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRules:
    """What the order of work allows for. `lost_day_probability` is the chance that weather takes
    a working day, 0 to below 1; `open_trench_days` how many working days a stretch of trench may
    stay open; `shortest_stretch_m` the shortest stretch that is worth opening."""

    lost_day_probability: Decimal
    open_trench_days: Decimal
    shortest_stretch_m: float
    source: str
