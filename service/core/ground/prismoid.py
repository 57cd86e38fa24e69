"""Earth between three sections of a span, evenly apart, as far as mitres leave it.

Offsets and heights of a section change as a quadratic between the three, at most: its trapezoids
are carried along the plan one by one, each as far as it lies between the mitres there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from service.core.ground.cross_section import CrossSection
from service.core.ground.region import SAME_M, Trapezoid, clipped, moment, moments
from service.core.ground.volume import prismoidal
from service.core.quadrature import GAUSS

Sums = tuple[float, float, float, float, float]  # cut, backfill, fill, disturbed, bare
Three = tuple[float, float, float]  # at the first section, midway, at the last


@dataclass(frozen=True, slots=True, kw_only=True)
class Prismoid:
    """Three sections and, at each, the offsets below and above which nothing is left. `bend` is
    how much longer a slice is for each meter behind the plan line (per m of plan line)."""

    first: CrossSection
    middle: CrossSection
    last: CrossSection
    lowers: tuple[Three, ...]
    uppers: tuple[Three, ...]
    bend: float

    @property
    def sections(self) -> tuple[CrossSection, CrossSection, CrossSection]:
        """The three, in order."""
        return self.first, self.middle, self.last

    @property
    def is_even(self) -> bool:
        """The sections have one shape, and the mitres are straight."""
        return self._is_alike and self.is_straight

    @property
    def _is_alike(self) -> bool:
        if not self.first.shape == self.middle.shape == self.last.shape:
            return False
        first, middle, last = ([len(area) for area in each.areas] for each in self.sections)
        return first == middle == last

    @property
    def is_straight(self) -> bool:
        """The mitres are straight."""
        bounds = (*self.lowers, *self.uppers)
        return all(abs(a + c - 2 * b) <= SAME_M * (1 + abs(c)) for a, b, c in bounds)

    def sums(self) -> Sums:
        """Volumes and areas between the first section and the last."""
        length = self.last.station_m - self.first.station_m
        if self._is_whole:
            columns = zip(*(each.totals for each in self.sections), strict=True)
            found = [prismoidal(1.0, *(self._worth(pair) for pair in column)) for column in columns]
        elif self._is_alike:
            areas = zip(*(each.areas for each in self.sections), strict=True)
            found = [math.fsum(map(self._left, zip(*area, strict=True))) for area in areas]
        else:
            columns = zip(*(self._clipped(place) for place in range(3)), strict=True)
            found = [prismoidal(1.0, *column) for column in columns]
        cut, backfill, fill, disturbed, bare = (length * each for each in found)
        return cut, backfill, fill, disturbed, bare

    @property
    def _is_whole(self) -> bool:
        fronts = [each.front_m for each in self.sections]
        backs = [each.back_m for each in self.sections]
        return all(_is_within(lower, fronts) for lower in self.lowers) and all(
            _is_within(backs, upper) for upper in self.uppers
        )

    def _worth(self, found: tuple[float, float]) -> float:
        """An area by the length of its slices."""
        area, first = found
        return area + self.bend * first

    def _clipped(self, place: int) -> list[float]:
        """The areas of one section, as far as they are left."""
        low = max(lower[place] for lower in self.lowers)
        high = min(upper[place] for upper in self.uppers)
        areas = self.sections[place].areas
        return [self._worth(moments(clipped(area, low, high))) for area in areas]

    def _left(self, trio: tuple[Trapezoid, Trapezoid, Trapezoid]) -> float:
        """What is left of a trapezoid, as the mean along the plan."""
        fronts, _, backs, _ = columns = tuple(zip(*trio, strict=True))
        lowers = [each for each in self.lowers if not _is_within(each, fronts)]
        uppers = [each for each in self.uppers if not _is_within(backs, each)]
        if not lowers and not uppers:
            return prismoidal(1.0, *(self._worth(moment(each)) for each in trio))
        total = 0.0
        for share, weight in _nodes((fronts, backs, *lowers, *uppers)):
            low = max((_between(lower, share) for lower in lowers), default=-math.inf)
            high = min((_between(upper, share) for upper in uppers), default=math.inf)
            x1, h1, x2, h2 = (_between(column, share) for column in columns)
            for each in clipped(((x1, h1, x2, h2),), low, high):
                total += weight * self._worth(moment(each))
        return total


def _is_within(lows: Sequence[float], highs: Sequence[float]) -> bool:
    return all(low <= high for low, high in zip(lows, highs, strict=True))


def _between(values: Sequence[float], share: float) -> float:
    """A quadratic through three values, at a share of the way."""
    first, middle, last = values
    return (
        first * (1 - share) * (1 - 2 * share)
        + middle * 4 * share * (1 - share)
        + last * share * (2 * share - 1)
    )


def _nodes(lines: Sequence[Sequence[float]]) -> Iterator[tuple[float, float]]:
    """Shares of the way with their weights, for an integral that bends where two lines cross."""
    marks = {0.0, 1.0}
    for one, other in combinations(lines, 2):
        first, middle, last = (a - b for a, b in zip(one, other, strict=True))
        for start, p, q in ((0.0, first, middle), (0.5, middle, last)):
            if p * q <= 0 and p != q:
                marks.add(start + p / (p - q) / 2)
    for a, b in pairwise(sorted(marks)):
        for node, weight in GAUSS:
            yield a + node * (b - a), weight * (b - a)
