"""Ground as slices, each all that lies under a straight line between two offsets; a body with
another weight is two of them, one to its top and one, taken away, to its underside.

Offsets run toward the soil, levels up, from the heel of the lowest unit; N, m.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WedgeSlice:
    """What lies under a line from (`from_m`, `level_m`) on, up to `to_m` (math.inf: without end),
    and the load on it; a weight below 0 takes away, a bare line has none."""

    from_m: float
    to_m: float
    level_m: float
    slope: float
    weight_n_m3: float = 0.0
    load_pa: float = 0.0

    def at(self, x_m: float) -> float:
        """Level of the line at an offset."""
        return self.level_m + (self.slope * (x_m - self.from_m) if self.slope else 0.0)


SliceSeen = tuple[float, float, float, float, float, float]
"""A slice seen from a point in front of it: how far its line begins over the point and behind it,
its width, slope, weight and load."""


def seen_from(slices: Iterable[WedgeSlice], x_m: float, y_m: float) -> list[SliceSeen]:
    """Slices that end behind a point, as they are seen from it."""
    return [
        (
            slice_.at(low := max(x_m, slice_.from_m)) - y_m,
            low - x_m,
            slice_.to_m - low,
            slice_.slope,
            slice_.weight_n_m3,
            slice_.load_pa,
        )
        for slice_ in slices
        if slice_.to_m > max(x_m, slice_.from_m)
    ]


def weight_seen(seen: Iterable[SliceSeen], plane: float) -> float:
    """Weight of slices, with their loads, over a plane through the point they are seen from, in
    one plain loop: trial wedges ask for it by the 100,000."""
    total = 0.0
    for rise, run, width, slope, weight, load in seen:
        first, gain = rise - plane * run, slope - plane
        last = first + gain * width
        if first >= 0 and last >= 0:
            total += weight * (first + last) / 2 * width + load * width
        elif first > 0:
            part = first / -gain
            total += weight * first * part / 2 + load * part
        elif last > 0:
            part = last / gain
            total += weight * last * part / 2 + load * part
    return total


def between(seen: Iterable[SliceSeen], near: float, far: float) -> list[SliceSeen]:
    """What of slices lies between two offsets from the point they are seen from."""
    return [
        (rise + slope * (low - run), low, high - low, slope, weight, load)
        for rise, run, width, slope, weight, load in seen
        if (low := max(run, near)) < (high := min(run + width, far))
    ]


def area_under(slices: Iterable[WedgeSlice], from_m: float, to_m: float, over_m: float) -> float:
    """Area between a level and the lines of slices, between two offsets."""
    total = 0.0
    for slice_ in slices:
        low, high = max(slice_.from_m, from_m), min(slice_.to_m, to_m)
        if high > low:
            total += (high - low) * ((slice_.at(low) + slice_.at(high)) / 2 - over_m)
    return total
