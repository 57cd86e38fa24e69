"""Soil behind a wall to the underside of its cap: the back grade is built top less the cap."""

from __future__ import annotations

from dataclasses import replace

from service.core.job.spec import ProfileEntry, WallSpec
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.layout.profile import station_m
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M, tape_mark

# What a level is read to: a hundredth of a foot on the rod, a millimeter (common practice).
_LEVEL_MARK_M = {"us": 0.3048 / 100, "metric": 0.001}


def with_soil_below_cap(layout: WallLayout, units: UnitSet) -> WallSpec:
    """The wall with its back grade at the underside of the cap, or where it is if that is lower.

    Levels are rounded down to a mark. Where the top steps between two entries, both are lowered by
    what the line between them would stand above the underside of the cap.
    """
    over = max(_over(layout, stretch) for stretch in layout.stretches)
    profile = tuple(
        _lowered(entry, _underside_m(layout, entry) - max(over, 0.0), units)
        for entry in layout.spec.profile
    )
    return replace(layout.spec, profile=profile)


def _lowered(entry: ProfileEntry, level_m: float, units: UnitSet) -> ProfileEntry:
    if entry.back_grade_m <= level_m + CLOSE_M:
        return entry
    mark = tape_mark(level_m + CLOSE_M, _LEVEL_MARK_M[units.name], up=False)
    return replace(entry, back_grade_m=mark)


def _underside_m(layout: WallLayout, entry: ProfileEntry) -> float:
    """Underside of the lowest cap at an entry, which is its top joint."""
    at = min(station_m(entry.station, layout.plan), layout.length_m)
    joints = (
        stretch.top_joint
        for stretch in layout.stretches
        if stretch.from_m - CLOSE_M <= at <= stretch.to_m + CLOSE_M
    )
    return layout.grid.level_m(min(joints))


def _over(layout: WallLayout, stretch: Stretch) -> float:
    """How far a line between the undersides at two entries stands above that of a stretch."""
    entries = layout.spec.profile
    at = [min(station_m(entry.station, layout.plan), layout.length_m) for entry in entries]
    most = 0.0
    for i in range(len(entries) - 1):
        a, b = max(at[i], stretch.from_m), min(at[i + 1], stretch.to_m)
        if b - a < CLOSE_M:
            continue
        low, high = (_underside_m(layout, entry) for entry in entries[i : i + 2])
        for place in (a, b):
            level = low + (high - low) * (place - at[i]) / (at[i + 1] - at[i])
            most = max(most, level - layout.grid.level_m(stretch.top_joint))
    return most
