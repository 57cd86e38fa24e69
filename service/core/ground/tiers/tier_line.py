"""Where walls of one job lie to each other: tiers, and nothing else, say it.

An upper wall runs parallel to the lower one, `offset` behind it from face to face at the base, and
begins opposite its start (rule 13.16). So a column of earth has an offset from the plan line of
each, and each wall's stations are those of the other's plan line moved.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from service.core.job.spec import Tier
from service.core.layout.plan import PlanLine


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedLine:
    """Stations of a plan, and of the same line moved toward the soil by `by_m`."""

    plan: PlanLine
    by_m: float
    _marks: tuple[tuple[float, float, float, float], ...] = field(init=False)

    def __post_init__(self) -> None:
        """Legs: (from, to) on the plan, (from, to) on the moved line."""
        marks, start, moved = [], 0.0, 0.0
        for length in self.plan.legs_m:
            end = start + length
            after = moved + self.plan.run_length_m(start, end, self.by_m)
            marks.append((start, end, moved, after))
            start, moved = end, after
        object.__setattr__(self, "_marks", tuple(marks))

    def at(self, station_m: float) -> float:
        """Station on the moved line; before the start and beyond the end it runs on straight."""
        last = self._marks[-1]
        if station_m <= 0.0:
            return station_m
        if station_m >= last[1]:
            return last[3] + station_m - last[1]
        leg = max(0, bisect_right(self._marks, station_m, key=lambda mark: mark[0]) - 1)
        start, _, moved, after = self._marks[leg]
        return min(after, moved + self.plan.run_length_m(start, station_m, self.by_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbor:
    """Another wall as one sees it: how far its plan line lies behind (in front: negative), and
    whether it stands above."""

    name: str
    behind_m: float
    above: bool


def neighbors(names: Sequence[str], tiers: Sequence[Tier]) -> Mapping[str, tuple[Neighbor, ...]]:
    """For each wall the walls above and below it, by name. The plan line is the face at the base,
    so that offsets add up from tier to tier; over the fewest tiers where several ways lead."""
    found: dict[str, dict[str, Neighbor]] = {name: {} for name in names}
    for lower in sorted(found):
        for upper, behind in _above(lower, tiers).items():
            if upper in found:
                found[lower][upper] = Neighbor(name=upper, behind_m=behind, above=True)
                found[upper][lower] = Neighbor(name=lower, behind_m=-behind, above=False)
    return {
        name: tuple(each for _, each in sorted(others.items())) for name, others in found.items()
    }


def _above(lower: str, tiers: Sequence[Tier]) -> Mapping[str, float]:
    """Walls above one, with the distance between the plan lines."""
    found: dict[str, float] = {}
    level = {lower: 0.0}
    while level:
        ahead: dict[str, float] = {}
        for name, behind in sorted(level.items()):
            for tier in sorted(tiers, key=lambda tier: tier.upper):
                if tier.lower == name and tier.upper not in found:
                    found[tier.upper] = ahead[tier.upper] = behind + tier.offset_m
        level = ahead
    return found
