"""Volumes between sections."""

from __future__ import annotations


def prismoidal(length: float, first: float, middle: float, last: float) -> float:
    """Volume between two sections with one midway (or an integral of any other figure that they
    have), in the units of the arguments.

    Exact where areas change as a cubic: between sections of the same shape that grow in width and
    depth. The mean of the end areas is too large there. Source: textbooks of surveying.
    """
    return length * (first + 4 * middle + last) / 6
