"""Rows of reinforcement on the joints of a wall: which joints take one. Lengths are not known here.

A preliminary layout, made to be priced; a licensed engineer designs what is built.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.job.basis import LayerRules
from service.core.rounding import CLOSE_SHARE, whole_courses


def widest_step(rules: LayerRules, course_m: float, depth_m: float) -> int:
    """Most courses between two rows: by the largest spacing and by unit depths, at least 1."""
    most = min(rules.spacing_m, rules.spacing_depths * depth_m)
    return whole_courses(most, course_m)


def rows_of(lowest: int, highest: int, step: int) -> tuple[int, ...]:
    """Joints of the rows that run along a whole wall: the first over its lowest course, then
    every `step` courses, below the highest joint."""
    return tuple(range(lowest + 1, highest, step))


def rows_at(
    rows: Sequence[int],
    base: int,
    top: int,
    highest: int,
    rules: LayerRules,
    course_m: float,
    depth_m: float,
) -> tuple[int, ...]:
    """Joints of the rows between a base and a top joint, none over `highest`, the last joint that
    a sheet can lie on there.

    Where the wall's rows leave more than a unit's depth, or than the basis allows, free over a
    raised base, or more than it allows under the top, a further row fills the gap.
    """
    if highest <= base:  # one course has no joint to lay a sheet on
        return ()
    found = [row for row in rows if base < row <= highest]
    free_m = depth_m if rules.first_most_m is None else min(depth_m, rules.first_most_m)
    if not found or (found[0] - base) * course_m > free_m * (1 + CLOSE_SHARE):
        found.insert(0, base + 1)
    least = top - _most_under_top(rules, course_m, depth_m)
    if found[-1] < least:
        found.append(min(least, highest))
    return tuple(dict.fromkeys(found))


def _most_under_top(rules: LayerRules, course_m: float, depth_m: float) -> int:
    """Courses that the uppermost row may lie under the top joint, at least 1."""
    limits = [widest_step(rules, course_m, depth_m) * course_m]
    if rules.top_depths is not None:
        limits.append(rules.top_depths * depth_m)
    if rules.top_most_m is not None:
        limits.append(rules.top_most_m)
    return whole_courses(min(limits), course_m)
