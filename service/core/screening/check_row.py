"""What a row of the table of checks is made of: a formula for each build, and what it lacks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from service.core.job.job import Job
from service.core.layout.layout import WallLayout
from service.core.screening.check import Check, Named
from service.core.screening.mass_checks import MassCase
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.stack_case import StackCase, StackSetting


def nothing_missing(_: object) -> None:
    """Of a check that needs no data beside the section's."""
    return


def nothing_open(_: object) -> tuple[str, ...]:
    """Of a check whose pass leaves nothing open."""
    return ()


def always(_: object) -> bool:
    """Of a check that every wall is asked for."""
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class StackFormula:
    """How a plain stack is checked at a section: the figure and its words.

    `missing` names the data without which no figure can be made, `left_open` what a figure that
    passes leaves unchecked; `applies` says whether the check is asked for at all.
    """

    figure: Callable[[StackCase], float]
    words: Callable[[StackCase], str]
    missing: Callable[[StackSetting], str | None] = nothing_missing
    left_open: Callable[[StackSetting], tuple[str, ...]] = nothing_open
    applies: Callable[[StackSetting], bool] = always


@dataclass(frozen=True, slots=True, kw_only=True)
class MassFormula:
    """How a reinforced mass is checked at a section; `left_open` as of a stack."""

    figure: Callable[[MassCase], float]
    left_open: Callable[[StackSetting], tuple[str, ...]] = nothing_open


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerFormula:
    """What holds one layer at its elevation, N/m, over what pulls on it, and its words; `missing`
    names the data without which it can't be said. `mended_by` is what makes a layer pass that
    doesn't: less spacing, or more length."""

    holds: Callable[[Reinforced, float], float]
    words: Callable[[Reinforced, float], str]
    mended_by: Literal["spacing", "length"]
    missing: Callable[[Reinforced], str | None] = nothing_missing


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMade:
    """A check that belongs to a build and is not made: what it would take."""

    lacks: str


JobFormula = Callable[[Named, Job, Mapping[str, WallLayout], Iterable[Check]], Iterable[Check]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow(Named):
    """One check: of a plain stack, of a wall with layers, or of the job beside its walls.

    None: the check has no meaning there. Raises ValueError for a row that nothing makes.
    """

    stack: StackFormula | None
    layered: MassFormula | LayerFormula | NotMade | None
    beside: JobFormula | None

    def __post_init__(self) -> None:
        """Every check is made somewhere, and says what is raised where it fails."""
        builds = {"gravity": self.stack or self.beside, "reinforced": self.layered}
        unsaid = [build for build, made in builds.items() if made and build not in self.cautions]
        if not any(builds.values()) or unsaid:
            raise ValueError(f"{self.name}: no formula, or no caution for {unsaid}")

    @property
    def of_a_wall(self) -> bool:
        """Whether it looks at the stability of a wall by itself."""
        return self.stack is not None or self.layered is not None
