"""How high the units of each course are lifted (rule 18.13)."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.core.job.factor import ByHeight
from service.core.job.measured import Measured
from service.core.layout.layout import WallLayout
from service.core.rounding import CLOSE_M
from service.core.shares import Shares, add_up

# What stands in courses; all that is counted in another way goes by these together.
IN_COURSES: tuple[Measured, ...] = ("standard_units", "corner_units")
# What is counted and has a height of its own.
LIFTED: tuple[Measured, ...] = (*IN_COURSES, "base_course_units", "cap_units")

ByChoice = tuple[tuple[str, Shares], ...]  # (choice, what of it each wall has), from low to high


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifted:
    """Units by the choice that the height of their course gives the condition."""

    condition: str
    counts: Mapping[Measured, ByChoice]

    @property
    def in_courses(self) -> ByChoice:
        """All units of courses."""
        return _merged([each for measured in IN_COURSES for each in self.counts[measured]])


def lift_courses(condition: str, rule: ByHeight, layouts: Sequence[WallLayout]) -> Lifted:
    """The units of all walls by the height of their course."""
    found: dict[Measured, dict[str, list[tuple[str, float]]]] = {
        measured: {band.choice: [] for band in rule.bands} for measured in LIFTED
    }
    for layout in layouts:
        for measured, height, count in (*_in_courses(layout), *_beside_courses(layout)):
            if count:
                found[measured][_choice(rule, height)].append((layout.name, float(count)))
    return Lifted(
        condition=condition,
        counts={measured: _added(by_choice) for measured, by_choice in found.items()},
    )


def _choice(rule: ByHeight, height_m: float) -> str:
    """The choice of the first band that a height doesn't pass; the last one has no limit."""
    return next(
        band.choice
        for band in rule.bands
        if band.up_to_m is None or height_m <= band.up_to_m + CLOSE_M
    )


def _added(by_choice: Mapping[str, list[tuple[str, float]]]) -> ByChoice:
    return tuple((choice, add_up(shares)) for choice, shares in by_choice.items() if shares)


def _merged(parts: Sequence[tuple[str, Shares]]) -> ByChoice:
    """Choices of several measures together, in the order of their first appearance."""
    found: dict[str, list[tuple[str, float]]] = {}
    for choice, shares in parts:
        found.setdefault(choice, []).extend(shares)
    return _added(found)


def _in_courses(layout: WallLayout) -> Iterator[tuple[Measured, float, int]]:
    """Units run by run: the underside of the course over the mean front grade along the run."""
    ends = [stretch.to_m for stretch in layout.stretches]
    for course in layout.courses:
        for run in course.runs:
            front = _mean_front_m(layout, ends, run.from_station_m, run.to_station_m)
            height = course.elevation_m - front
            yield "standard_units", height, run.standard_units
            yield "corner_units", height, run.corner_units


def _beside_courses(layout: WallLayout) -> Iterator[tuple[Measured, float, int]]:
    """Caps lie on the top joint; the base course stands in the trench, below front grade."""
    yield "base_course_units", 0.0, 1
    ends = [stretch.to_m for stretch in layout.stretches]
    for cap in layout.caps:
        middle = (cap.from_station_m + cap.to_station_m) / 2
        joint = layout.stretches[bisect_left(ends, middle)].top_joint
        front = _mean_front_m(layout, ends, cap.from_station_m, cap.to_station_m)
        yield "cap_units", layout.grid.level_m(joint) - front, cap.units


def _mean_front_m(layout: WallLayout, ends: Sequence[float], from_m: float, to_m: float) -> float:
    """Mean level of front grade between two stations; `ends` are those of the stretches, which
    follow each other."""
    near = layout.stretches[bisect_right(ends, from_m) : bisect_left(ends, to_m) + 1]
    parts = [(max(from_m, s.from_m), min(to_m, s.to_m), s.interval) for s in near]
    area = math.fsum(
        (to - start) * (interval.front_at(start) + interval.front_at(to)) / 2
        for start, to, interval in parts
    )
    return area / math.fsum(to - start for start, to, _ in parts)
