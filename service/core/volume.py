"""Volumes from areas and depths: the prismoidal rule, end areas, pits, grids of depths.

Any one unit of length throughout. Source: textbooks of surveying; tests/reference/ holds printed
examples against them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise


def prismoidal(length: float, first: float, middle: float, last: float) -> float:
    """Volume between two sections with one midway: exact where areas change as a cubic."""
    return length * (first + 4 * middle + last) / 6


def prismoidal_chain(spacing: float, areas: Sequence[float]) -> float:
    """Volume of an odd number of sections at equal spacing."""
    return sum(
        prismoidal(2 * spacing, areas[i], areas[i + 1], areas[i + 2])
        for i in range(0, len(areas) - 2, 2)
    )


def average_end_area(length: float, first: float, last: float) -> float:
    """Volume between two sections by their mean: too large where both width and depth change."""
    return length * (first + last) / 2


def average_end_area_chain(spacing: float, areas: Sequence[float]) -> float:
    """Volume of any number of sections at equal spacing by their means."""
    return sum(average_end_area(spacing, a, b) for a, b in pairwise(areas))


def pit(length: float, width: float, depth: float, slope: float) -> float:
    """Pit with a level bottom and four sides that rise at `slope` (run over rise)."""
    return prismoidal(
        depth,
        length * width,
        (length + slope * depth) * (width + slope * depth),
        (length + 2 * slope * depth) * (width + 2 * slope * depth),
    )
