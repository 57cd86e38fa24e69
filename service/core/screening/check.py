"""One check of a screening, and how the worst of many sections speaks for a wall."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, assert_never

from service.core.job.basis import CHECKS, CheckName, Required
from service.core.job.jurisdiction import Trigger
from service.core.rounding import CLOSE_SHARE
from service.core.told import Told, nothing_told

Status = Literal["pass", "fail", "pass_as_assumed", "not_checked"]
Build = Literal["gravity", "reinforced"]
Limit = Literal["min", "max"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """What holds for a check however it is made.

    `words` name it in a sentence; `limit` says whether the required figure is the least or the
    most; `rests_on` are the pointers of what it takes for granted where a caller leaves it out,
    those without a slash inside the wall; `cautions` are what is raised where it fails, by build.
    """

    name: CheckName
    words: str
    limit: Limit
    rests_on: tuple[str, ...]
    cautions: Mapping[Build, Trigger]

    def pointers(self, wall: int) -> tuple[str, ...]:
        """What it rests on, as pointers into a request, at one of its walls counted from 0."""
        return tuple(
            key if key.startswith("/") else f"/walls/{wall}/{key}" for key in self.rests_on
        )

    @property
    def worst_value(self) -> float:
        """The figure of what cannot stand at all."""
        return math.inf if self.limit == "max" else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check of one wall at its governing station.

    `value` is resistance over load, or e / B; None where it could not be worked out. `assumed`
    are the pointers of the defaults it rests on, `missing` what it lacks; `told` writes
    the arithmetic of the governing section. `build` says whether the wall was looked at as a plain
    stack of units or with its layers.
    """

    check: CheckName
    limit: Limit
    wall: str
    status: Status
    source: str
    build: Build = "gravity"
    station_m: float | None = None
    value: float | None = None
    required: Required | None = None
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    told: Told = field(default=nothing_told, compare=False, repr=False)

    @property
    def how(self) -> tuple[str, ...]:
        """The arithmetic of the governing section, in words."""
        return self.told()

    @property
    def failed(self) -> bool:
        """Whether the check fails."""
        return self.status == "fail"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What one section gives for one check, with the arithmetic."""

    check: Named
    station_m: float
    value: float
    told: Told = field(default=nothing_told, compare=False, repr=False)
    missing: tuple[str, ...] = ()


def holds(finding: Finding, required: Required) -> bool:
    """Whether a figure meets what is required; one that close to it is equal to it."""
    return meets(finding.check, finding.value, required)


def meets(check: Named, value: float, required: Required) -> bool:
    """The same of a bare figure."""
    tolerance = CLOSE_SHARE * abs(required.value)
    match check.limit:
        case "min":
            return value >= required.value - tolerance
        case "max":
            return value <= required.value + tolerance
        case other:
            assert_never(other)


def governs(check: Named, figures: Sequence[tuple[float, float]]) -> int:
    """Which of some figures, each at a station, governs: the smallest ratio, or the largest where
    less is better; of equal ones the first along the wall. Raises ValueError without figures."""
    ranks = [-value if check.limit == "max" else value for value, _ in figures]
    least = min(ranks)
    equal = [n for n, rank in enumerate(ranks) if math.isclose(rank, least, rel_tol=CLOSE_SHARE)]
    return min(equal, key=lambda n: figures[n][1])


def worst(findings: Sequence[Finding]) -> Finding:
    """The finding that governs, of one check that has some."""
    figures = [(each.value, each.station_m) for each in findings]
    return findings[governs(findings[0].check, figures)]


def judge(
    finding: Finding, required: Required, wall: str, build: Build, assumed: Iterable[str]
) -> Check:
    """The check of a wall from its governing section.

    It fails where the figure does; else it is not checked where something is missing (no figure
    stands then: it would read like a result), and passes as assumed where it rests on defaults.
    """
    rests_on = tuple(assumed)
    status: Status = "fail"
    if holds(finding, required):
        if finding.missing:
            return not_checked(finding.check, wall, finding.missing, required.source, build)
        status = "pass_as_assumed" if rests_on else "pass"
    return Check(
        check=finding.check.name,
        limit=finding.check.limit,
        wall=wall,
        status=status,
        source=required.source,
        build=build,
        station_m=finding.station_m,
        value=finding.value,
        required=required,
        assumed=rests_on,
        told=finding.told,
    )


def not_checked(
    check: Named, wall: str, missing: Iterable[str], source: str, build: Build = "gravity"
) -> Check:
    """A check that could not be made, and what is missing for it."""
    return Check(
        check=check.name,
        limit=check.limit,
        wall=wall,
        status="not_checked",
        source=source,
        build=build,
        missing=tuple(missing),
    )


def in_order(checks: Iterable[Check], walls: Iterable[str]) -> tuple[Check, ...]:
    """Checks by wall in the order of the request, then plain before reinforced, then by name."""
    place = {wall: index for index, wall in enumerate(walls)}
    return tuple(sorted(checks, key=lambda c: (place[c.wall], c.build, CHECKS.index(c.check))))
