"""What would pass in place of a wall that fails, and what of it a catalog offers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, get_args

from service.core.job.job import Job
from service.core.job.soil import Soil
from service.core.job.wall_system import WallSystem
from service.core.screening.check import Check

ChangeName = Literal["soil_below_cap", "better_fill", "layers", "fewer_courses", "deeper_units"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What a catalog has to change to."""

    soils: tuple[Soil, ...]
    systems: tuple[WallSystem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """The job with changes that make every check pass; `total` where it was asked for."""

    changes: tuple[ChangeName, ...]
    job: Job
    total: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """Changes as they were tried: the worst of the checks that still fail, or, where no check
    does, what hinders (walls that can't be laid out or dug)."""

    changes: tuple[ChangeName, ...]
    job: Job
    check: Check | None = None
    hindered: str = ""

    @property
    def passes(self) -> bool:
        """Whether no check fails and nothing hinders."""
        return self.check is None and not self.hindered

    @property
    def share(self) -> float:
        """How much of what the worst check requires is reached; 0 where no figure tells."""
        return share_reached(self.check) if self.check else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WouldPass:
    """Sets of changes to the wall that is asked for, and walls of fewer courses or deeper units.
    With totals the cheapest come first, else what changes least. `nearest` where no set passes
    and any was tried."""

    sets: tuple[Alternative, ...]
    other_walls: tuple[Alternative, ...]
    nearest: Tried | None = None


def share_reached(check: Check) -> float:
    """How much of what it requires a failing check reaches, below 1; 0 without a figure."""
    if check.value is None or check.required is None or check.value <= 0:
        return 0.0
    share = check.value / check.required.value
    return share if check.limit == "min" else 1 / share if math.isfinite(share) else 0.0


def in_order_tried(sets: Sequence[Alternative]) -> list[Alternative]:
    """Sets of changes in an order that no price decides: one change before two."""
    names = get_args(ChangeName)
    return sorted(sets, key=lambda each: (len(each.changes), list(map(names.index, each.changes))))
