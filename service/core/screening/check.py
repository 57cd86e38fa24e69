"""One check of a screening, and how the worst of many sections speaks for a wall."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from service.core.job.basis import CHECKS, MAX_CHECKS, CheckName, Required
from service.core.rounding import CLOSE_SHARE

Status = Literal["pass", "fail", "pass_as_assumed", "not_checked"]
Build = Literal["gravity", "reinforced"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check of one wall at its governing station.

    `value` is resistance over load, or e / B; None where it could not be worked out. `assumed`
    are the pointers of the defaults it rests on, `missing` what it lacks; `how` shows the
    arithmetic of the governing section. `build` says whether the wall was looked at as a plain
    stack of units or with its layers.
    """

    check: CheckName
    wall: str
    status: Status
    source: str
    build: Build = "gravity"
    station_m: float | None = None
    value: float | None = None
    required: Required | None = None
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    how: tuple[str, ...] = ()

    @property
    def limit(self) -> Literal["min", "max"]:
        """Whether the required figure is the least or the most."""
        return "max" if self.check in MAX_CHECKS else "min"

    @property
    def failed(self) -> bool:
        """Whether the check fails."""
        return self.status == "fail"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What one section gives for one check, with the arithmetic."""

    check: CheckName
    station_m: float
    value: float
    how: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


def holds(check: CheckName, value: float, required: Required) -> bool:
    """Whether a figure meets what is required; one that close to it is equal to it."""
    tolerance = CLOSE_SHARE * abs(required.value)
    if check in MAX_CHECKS:
        return value <= required.value + tolerance
    return value >= required.value - tolerance


def worst(findings: Iterable[Finding]) -> Finding:
    """The finding that governs: the smallest ratio, or the largest where less is better; of equal
    ones the first along the wall. Raises ValueError without findings."""

    def badness(finding: Finding) -> tuple[float, float]:
        value = -finding.value if finding.check in MAX_CHECKS else finding.value
        return value, finding.station_m

    return min(findings, key=badness)


def judge(
    finding: Finding, required: Required, wall: str, build: Build, assumed: Iterable[str]
) -> Check:
    """The check of a wall from its governing section.

    It fails where the figure does; else it is not checked where something is missing (no figure
    stands then: it would read like a result), and passes as assumed where it rests on defaults.
    """
    rests_on = tuple(assumed)
    status: Status = "fail"
    if holds(finding.check, finding.value, required):
        if finding.missing:
            return not_checked(finding.check, wall, finding.missing, required.source, build)
        status = "pass_as_assumed" if rests_on else "pass"
    return Check(
        check=finding.check,
        wall=wall,
        status=status,
        source=required.source,
        build=build,
        station_m=finding.station_m,
        value=finding.value,
        required=required,
        assumed=rests_on,
        how=finding.how,
    )


def not_checked(
    check: CheckName, wall: str, missing: Iterable[str], source: str, build: Build = "gravity"
) -> Check:
    """A check that could not be made, and what is missing for it."""
    return Check(
        check=check,
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
