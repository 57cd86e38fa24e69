"""A check as something behind a wall moves off, step by step."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache


def changes_little(at: Callable[[int], float], last: int, most: float) -> None:
    """From step 0 to the last no step changes the check by more than so much, and none makes it
    worse.

    Where many steps together change it less, none of them is looked at: what never falls doesn't
    change by more between them.
    """
    _within(cache(at), 0, last, most)


def _within(at: Callable[[int], float], low: int, high: int, most: float) -> None:
    nearer, farther = at(low), at(high)
    assert farther >= nearer * (1 - 1e-6), (low, high)
    if farther <= nearer * (1 + most):
        return
    assert high - low > 1, (low, farther / nearer - 1)
    middle = (low + high) // 2
    _within(at, low, middle, most)
    _within(at, middle, high, most)


def steepest(at: Callable[[int], float], first: int, last: int) -> int:
    """The step between two after which the check changes most."""
    values = [at(step) for step in range(first, last + 1)]
    return max(range(first, last), key=lambda step: values[step - first + 1] / values[step - first])
