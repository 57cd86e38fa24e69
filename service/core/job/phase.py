"""The words for the order of work: phases, what is done once and what wall by wall, and the rules
of weather and open trenches that go with them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from operator import attrgetter
from types import MappingProxyType
from typing import Literal, assert_never, get_args

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
# Done once before the first wall, wall by wall, or once after the last wall.
PhasePart = Literal["before", "wall", "after"]


@dataclass(frozen=True, slots=True)
class PhaseRow:
    """What is known of a phase: its title, where it stands among the walls, and whether a trench
    is open in it, from the first shovel until it is filled again."""

    phase: Phase
    title: str
    part: PhasePart
    open_trench: bool = False

    @property
    def by_wall(self) -> bool:
        """Whether it is done wall by wall."""
        match self.part:
            case "wall":
                return True
            case "before" | "after":
                return False
            case _:
                assert_never(self.part)


# In the order of work: what comes down first, the lawn last.
_ROWS = (
    PhaseRow("take_down", "Set up and clear", "before"),
    PhaseRow("rough_cut", "Rough cut", "wall"),
    PhaseRow("trench_and_pad", "Trench and pad", "wall", open_trench=True),
    PhaseRow("base_course", "Base course", "wall", open_trench=True),
    PhaseRow("backfill_base", "Backfill the base course", "wall", open_trench=True),
    PhaseRow("build_and_backfill", "Build and backfill", "wall", open_trench=True),
    PhaseRow("cap", "Cap", "wall"),
    PhaseRow("grade", "Grade", "after"),
    PhaseRow("topsoil_and_sod", "Topsoil and sod", "after"),
    PhaseRow("clean_up", "Clean up", "after"),
)


def table_of(rows: Sequence[PhaseRow]) -> Mapping[Phase, PhaseRow]:
    """Rows by phase. Raises LookupError where they are not one for each phase, in its order, the
    parts one after another, the phases of an open trench too."""
    phases, parts = (
        [row.phase for row in rows],
        [part for part, _ in groupby(rows, attrgetter("part"))],
    )
    trenches = [is_open for is_open, _ in groupby(rows, attrgetter("open_trench")) if is_open]
    if phases != list(get_args(Phase)):
        raise LookupError(f"one row is needed for each of {get_args(Phase)}, not {phases}")
    if parts != list(get_args(PhasePart)) or len(trenches) != 1:
        raise LookupError(f"phases go {get_args(PhasePart)}, with one open trench: {parts}")
    return MappingProxyType({row.phase: row for row in rows})


PHASE_ROWS = table_of(_ROWS)
PHASES = tuple(PHASE_ROWS)


def phases_of(part: PhasePart) -> tuple[Phase, ...]:
    """The phases of a part, in the order of work."""
    return tuple(phase for phase in PHASES if PHASE_ROWS[phase].part == part)


BEFORE_WALLS, WALL_PHASES, AFTER_WALLS = phases_of("before"), phases_of("wall"), phases_of("after")
OPEN_PHASES = tuple(phase for phase in PHASES if PHASE_ROWS[phase].open_trench)
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
