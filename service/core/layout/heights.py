"""Finished heights that fit: where one wall, all its tops raised or lowered alike, takes a course
less or more and no part of a course is wasted.

With `top_rounding` up that is the highest top that so many courses carry, with down the lowest.
Beside them stand the least and the most that the same courses carry. The front grade stays
(rule 4.5).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass, replace

from service.core.errors import LayoutFaultsError
from service.core.job.job import Job
from service.core.job.spec import WallSpec
from service.core.layout.layout import WallLayout, lay_out
from service.core.rounding import tape_mark

# What a tape reads to: a sixteenth of an inch, a millimeter (common practice).
TAPE_MARK_M = {"us": 0.0254 / 16, "metric": 0.001}
# To what the least and the most that the same courses carry are rounded, inward.
READING_MARK_M = {"us": 0.0254 / 4, "metric": 0.005}
_FINEST_M = 1e-9
# 64 in, or 1.28 m: far more than one course.
_MOST_MARKS = 256


def raised(wall: WallSpec, by_m: float) -> WallSpec:
    """The wall with top and back grade raised by `by_m` along its whole length."""
    profile = tuple(
        replace(entry, top_m=entry.top_m + by_m, back_grade_m=entry.back_grade_m + by_m)
        for entry in wall.profile
    )
    return replace(wall, profile=profile)


def with_wall(job: Job, index: int, wall: WallSpec) -> Job:
    """The job with one wall replaced."""
    return replace(job, walls=(*job.walls[:index], wall, *job.walls[index + 1 :]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """How far a wall must be lowered (negative) and raised, in m, to take a course less and a
    course more, and how far it may be to keep its courses; None where it can't be built so, or
    no mark of a tape lies between."""

    below_m: float | None
    above_m: float | None
    least_m: float | None
    most_m: float | None


def heights_that_fit(job: Job, index: int) -> Fits:
    """The next heights that fit below and above those of wall `index`, at a mark of the tape.

    Raises LayoutFaultsError if the wall can't be laid out as it is.
    """
    wall = job.walls[index]
    layout = lay_out(wall, job.system, job.section, job.units)
    count = _course_counter(job, wall)
    step, now = job.system.standard.height_m, len(layout.courses)
    # Rounded up, a height fits as long as no further course is needed; rounded down, from the
    # first height on that has the course.
    most = -1 if wall.top_rounding == "up" else -2
    shifts = [
        _at_mark(edge, job, layout)
        for edge in (_edge(count, now + most, -step), _edge(count, now + most + 2, step))
    ]
    below, above = (
        None if shift is None or count(shift) != courses else shift
        for shift, courses in zip(shifts, (now - 1, now + 1), strict=True)
    )
    keeps = _keeper(job, wall, layout)
    least = _last_mark(keeps, job, layout, up=False)
    farthest = _last_mark(keeps, job, layout, up=True)
    return Fits(below_m=below, above_m=above, least_m=least, most_m=farthest)


def _course_counter(job: Job, wall: WallSpec) -> Callable[[float], float]:
    """Courses of the wall when shifted; where it can't be built, fewer than any if it is lowered
    and more than any if it is raised."""

    def count(by_m: float) -> float:
        try:
            layout = lay_out(raised(wall, by_m), job.system, job.section, job.units)
        except LayoutFaultsError:
            return math.copysign(math.inf, by_m)
        return len(layout.courses)

    return count


def _edge(count: Callable[[float], float], most: int, step_m: float) -> float | None:
    """The shift at which the number of courses passes from `most` to more, in the direction of
    `step_m`; within two courses, or there is none."""
    for near in (0.0, step_m):
        far = near + step_m
        if (count(far) <= most) != (count(near) <= most):
            break
    else:
        return None
    low, high = min(near, far), max(near, far)
    while high - low > _FINEST_M:
        middle = (low + high) / 2
        low, high = (middle, high) if count(middle) <= most else (low, middle)
    return low


def _at_mark(edge_m: float | None, job: Job, layout: WallLayout) -> float | None:
    """The shift that brings the largest exposed height to a mark on the fitting side of an edge."""
    if edge_m is None:
        return None
    up = layout.spec.top_rounding == "down"
    height = layout.max_exposed_m + edge_m
    return tape_mark(height, TAPE_MARK_M[job.units.name], up=up) - layout.max_exposed_m


def _keeper(job: Job, wall: WallSpec, layout: WallLayout) -> Callable[[float], bool]:
    """Whether the wall, when shifted, has the same units in the same courses."""
    now = _units_of(layout)

    def keeps(by_m: float) -> bool:
        try:
            shifted = lay_out(raised(wall, by_m), job.system, job.section, job.units)
        except LayoutFaultsError:
            return False
        return _units_of(shifted) == now

    return keeps


def _units_of(layout: WallLayout) -> list[list[tuple[int, int]]]:
    """Units of each run of each course."""
    return [
        [(run.standard_units, run.corner_units) for run in course.runs] for course in layout.courses
    ]


def _last_mark(
    keeps: Callable[[float], bool], job: Job, layout: WallLayout, *, up: bool
) -> float | None:
    """The farthest shift, up or down, that brings the largest exposed height to a mark for reading
    and keeps the courses: marks are tried from the one nearest to the height on its other side."""
    mark = READING_MARK_M[job.units.name]
    height = layout.max_exposed_m
    first = tape_mark(height, mark, up=not up) - height
    step = mark if up else -mark
    lost = bisect_left(range(1, _MOST_MARKS), x=True, key=lambda n: not keeps(first + n * step))
    shift = first + lost * step
    return shift if keeps(shift) else None
