"""Half days of the order of work, as spans from one to before another, counted from 0."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from service.core import rounding

HalfDays = tuple[tuple[int, int], ...]


def together(spans: Iterable[tuple[int, int]]) -> HalfDays:
    """The half days of any of these spans, in turn; spans that touch are one."""
    joined: list[tuple[int, int]] = []
    for first, end in sorted(spans):
        if joined and first <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((first, end))
    return tuple(joined)


def count(spans: HalfDays) -> int:
    """How many half days there are in spans that don't touch."""
    return sum(end - first for first, end in spans)


def days_of(spans: HalfDays) -> int:
    """How many days have one of these half days at least."""
    return count(together((first // 2, rounding.whole_chunks(end, 2)) for first, end in spans))


def gaps(spans: HalfDays, end: int) -> HalfDays:
    """The half days before `end` that are in none of the spans."""
    edges = ((0, 0), *spans, (end, end))
    return tuple((left[1], right[0]) for left, right in pairwise(edges) if left[1] < right[0])
