"""Where walls of one job lie to each other: tiers, and nothing else, say it.

An upper wall runs parallel to the lower one, `offset` behind it from face to face at the base, and
begins opposite its start (rule 13.16). So a column of earth has an offset from the plan line of
each, and each wall's stations are those of the other's plan line moved.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from service.core.job.spec import Tier
from service.core.layout.plan import PlanLine


@dataclass(frozen=True, slots=True, kw_only=True)
class _Leg:
    """A leg between two stations, and between two on the moved line; of the parts that neither
    begin nor stop at a station within it their ends and their lengths, moved."""

    from_m: float
    to_m: float
    moved_from_m: float
    moved_to_m: float
    ends_m: tuple[float, ...]
    lengths_m: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedLine:
    """Stations of a plan, and of the same line moved toward the soil by `by_m`."""

    plan: PlanLine
    by_m: float
    _legs: tuple[_Leg, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Measure the legs."""
        legs, start, moved = [], 0.0, 0.0
        for length in self.plan.legs_m:
            end = start + length
            after = moved + self.plan.run_length_m(start, end, self.by_m)
            legs.append(self._leg(start, end, moved, after))
            start, moved = end, after
        object.__setattr__(self, "_legs", tuple(legs))

    def _leg(self, start_m: float, end_m: float, moved_m: float, after_m: float) -> _Leg:
        """What lies before a part is the same wherever within that one a run stops, but for what
        the corner takes of it: that lies past the moved corner."""
        parts = [*self.plan.run_lengths_m(start_m, end_m, self.by_m, start_m)]
        return _Leg(
            from_m=start_m,
            to_m=end_m,
            moved_from_m=moved_m,
            moved_to_m=after_m,
            ends_m=tuple(end for end, _ in parts),
            lengths_m=tuple(length for _, length in parts),
        )

    def at(self, station_m: float) -> float:
        """Station on the moved line; before the start and beyond the end it runs on straight.
        Ahead of a corner it lies ahead of the moved one, however much of the leg that takes."""
        last = self._legs[-1]
        if station_m <= 0.0:
            return station_m
        if station_m >= last.to_m:
            return last.moved_to_m + (station_m - last.to_m)
        leg = self._legs[bisect_right(self._legs, station_m, key=lambda leg: leg.from_m) - 1]
        before = math.nextafter(leg.moved_to_m, leg.moved_from_m)
        return min(before, leg.moved_from_m + self._run_m(leg, station_m))

    def _run_m(self, leg: _Leg, station_m: float) -> float:
        """`run_length_m` from the beginning of a leg: whole parts are known already."""
        known = bisect_right(leg.ends_m, station_m)
        after = leg.ends_m[known - 1] if known else leg.from_m
        rest = self.plan.run_lengths_m(leg.from_m, station_m, self.by_m, after)
        return math.fsum((*leg.lengths_m[:known], *(length for _, length in rest)))


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
