"""Existing ground of a wall: a plane through a grade at the plan line, or surveyed sections.

Both are linear between profile entries (rule 13.2). Offsets are positive toward the
soil, levels over the request's datum, in meters.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from service.core.errors import Fault, LayoutFaultsError
from service.core.ground.region import GroundLine, Line, Polyline
from service.core.job.spec import ProfileEntry, WallSpec
from service.core.layout.layout import WallLayout
from service.core.layout.profile import station_m
from service.core.rounding import CLOSE_M

FEWEST_PAIRS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingPlane:
    """Ground through a grade at the plan line that rises toward the soil by `slope`, the same on
    both sides; the grade is linear between the two stations. `entry` counts from 0."""

    entry: int
    from_m: float
    to_m: float
    start_m: float
    finish_m: float
    slope: float

    @property
    def surveyed(self) -> bool:
        """Whether the ground ends somewhere."""
        return False

    def at(self, station_m: float) -> GroundLine:
        """The ground across the wall at a station."""
        share = (station_m - self.from_m) / (self.to_m - self.from_m)
        return Line(0.0, self.start_m + share * (self.finish_m - self.start_m), self.slope)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingSections:
    """Surveyed ground between two stations: the same offsets at both, levels linear between.

    `entry` is the profile entry at its start, counted from 0.
    """

    entry: int
    from_m: float
    to_m: float
    offsets_m: tuple[float, ...]
    start_m: tuple[float, ...]
    finish_m: tuple[float, ...]

    @property
    def surveyed(self) -> bool:
        """Whether the ground ends somewhere."""
        return True

    def at(self, station_m: float) -> GroundLine:
        """The ground across the wall at a station."""
        share = (station_m - self.from_m) / (self.to_m - self.from_m)
        levels = (a + share * (b - a) for a, b in zip(self.start_m, self.finish_m, strict=True))
        return Polyline(self.offsets_m, tuple(levels))


Existing = ExistingPlane | ExistingSections


def measure_ground(layout: WallLayout) -> tuple[Existing, ...]:
    """Existing ground from station 0 to the plan's end, one piece between each two entries;
    empty where it was not measured.

    Raises LayoutFaultsError (`existing-grade-first`, `existing-section-missing`,
    `existing-section-order`, `existing-ground-twice`, `existing-section-short`).
    """
    spec = layout.spec
    faults = tuple(ground_faults(spec))
    if faults:
        raise LayoutFaultsError(faults)
    first = spec.profile[0]
    if first.existing_grade_m is None and not first.existing_section:
        return ()
    stations = [station_m(entry.station, layout.plan) for entry in spec.profile]
    stations[-1] = layout.length_m
    grades = _grades(spec.profile)
    pieces: list[Existing] = []
    for i, (a, b) in enumerate(pairwise(stations)):
        if b - a < CLOSE_M:
            continue
        if first.existing_section:
            pieces.append(_sections(spec.profile, i, a, b))
        else:
            pieces.append(
                ExistingPlane(
                    entry=i,
                    from_m=a,
                    to_m=b,
                    start_m=grades[i],
                    finish_m=grades[i + 1],
                    slope=spec.existing_slope,
                )
            )
    return tuple(pieces)


def _grades(profile: tuple[ProfileEntry, ...]) -> list[float]:
    """Existing grade entry by entry; left out later it stays."""
    grades, last = [], math.nan
    for entry in profile:
        last = last if entry.existing_grade_m is None else entry.existing_grade_m
        grades.append(last)
    return grades


def _sections(
    profile: tuple[ProfileEntry, ...], index: int, from_m: float, to_m: float
) -> ExistingSections:
    lines = [
        Polyline(*(tuple(column) for column in zip(*entry.existing_section, strict=True)))
        for entry in profile[index : index + 2]
    ]
    low = max(line.xs_m[0] for line in lines)
    high = min(line.xs_m[-1] for line in lines)
    if high - low < CLOSE_M:
        raise LayoutFaultsError([_apart(index)])
    offsets = sorted({low, high, *(x for line in lines for x in line.knots(low, high))})
    return ExistingSections(
        entry=index,
        from_m=from_m,
        to_m=to_m,
        offsets_m=tuple(offsets),
        start_m=tuple(lines[0].at(x) for x in offsets),
        finish_m=tuple(lines[1].at(x) for x in offsets),
    )


def _apart(index: int) -> Fault:
    return Fault(
        code="existing-section-short",
        at=("profile", index + 1, "existing_section"),
        message=f"the existing sections of profile entries {index + 1} and {index + 2} "
        "have no offsets in common",
        hint="sections that reach across the wall, from in front of it to behind it",
    )


def ground_faults(spec: WallSpec) -> Iterator[Fault]:
    """What is wrong with the existing ground as given."""
    first = spec.profile[0]
    sections = any(entry.existing_section for entry in spec.profile)
    for index, entry in enumerate(spec.profile):
        at = ("profile", index)
        if sections and entry.existing_grade_m is not None:
            yield Fault(
                code="existing-ground-twice",
                at=(*at, "existing_grade"),
                message=f"profile entry {index + 1} gives existing_grade, "
                "but the wall has existing sections",
                hint="either existing_grade or existing_section, for the whole wall",
            )
        elif sections and not entry.existing_section:
            yield Fault(
                code="existing-section-missing",
                at=(*at, "existing_section"),
                message=f"profile entry {index + 1} has no existing_section, others have",
                hint="in every entry of a wall, or in none",
            )
        elif entry.existing_grade_m is not None and first.existing_grade_m is None:
            yield Fault(
                code="existing-grade-first",
                at=(*at, "existing_grade"),
                message=f"profile entry {index + 1} gives existing_grade, the first does not",
                hint="give it in the first entry; left out later it stays",
            )
        yield from _pair_faults(index, entry)


def _pair_faults(index: int, entry: ProfileEntry) -> Iterator[Fault]:
    pairs = entry.existing_section
    if not pairs:
        return
    where = ("profile", index, "existing_section")
    if len(pairs) < FEWEST_PAIRS:
        yield Fault(
            code="existing-section-order",
            at=where,
            message=f"the existing section of profile entry {index + 1} is one pair",
            hint="at least two pairs of offset and elevation",
        )
    for place, ((a, _), (b, _)) in enumerate(pairwise(pairs)):
        if b - a < CLOSE_M:
            yield Fault(
                code="existing-section-order",
                at=(*where, place + 1, "offset"),
                message=f"pair {place + 2} of the existing section of profile entry {index + 1} "
                "does not lie farther toward the soil than the one before",
                hint="offsets from front to back, each larger; a vertical face as two pairs "
                "1 in apart",
            )
