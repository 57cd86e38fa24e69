"""Cutting pieces from rolls: pieces can't be joined, what is left of a roll serves shorter ones."""

from __future__ import annotations

from collections.abc import Sequence

from service.core.rounding import whole_cuts


def cut_rolls(cuts: Sequence[tuple[float, int]], roll_length_m: float) -> int:
    """Rolls for so many pieces of each length (m), cut longest first, each from the first roll
    begun that is long enough. No piece is longer than a roll."""
    left: list[float] = []
    for length, count in sorted(cuts, reverse=True):
        missing = count
        for i, rest in enumerate(left):
            taken = min(missing, cut_count(length, rest))
            left[i] -= taken * length
            missing -= taken
        whole = cut_count(length, roll_length_m)
        while missing > 0:
            taken = min(missing, whole)
            left.append(roll_length_m - taken * length)
            missing -= taken
    return len(left)


def cut_count(length_m: float, roll_length_m: float) -> int:
    """Pieces of one length that a roll gives."""
    return whole_cuts(roll_length_m, length_m)
