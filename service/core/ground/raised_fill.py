"""Fill behind a wall that comes up with its courses, and what is graded later (rule 13.20)."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.core.ground.cross_section import CrossSection
from service.core.ground.region import Trapezoid, clipped, moments

_NOTHING = 1e-9  # a share this small is the noise of floats


@dataclass(frozen=True, slots=True, kw_only=True)
class FillSection:
    """Fill at a station: all of it, and of it what lies behind the front of the trench."""

    station_m: float
    area_m2: float
    behind: tuple[Trapezoid, ...]

    def within_m2(self, reach_m: float) -> float:
        """What lies behind the wall, no farther from the plan line than `reach_m`."""
        return moments(clipped(self.behind, -math.inf, reach_m))[0]


def fill_section(section: CrossSection) -> FillSection:
    """The fill of one section."""
    return FillSection(
        station_m=section.station_m,
        area_m2=moments(section.fill)[0],
        behind=clipped(section.fill, section.trench.front_m, math.inf),
    )


def raised_share(sections: Sequence[FillSection], reach_m: float) -> float:
    """How much of a wall's fill comes up with its courses: 0 to 1, by sections from station to
    station."""
    whole = _twice_between(sections, lambda section: section.area_m2)
    near = _twice_between(sections, lambda section: section.within_m2(reach_m))
    share = near / whole if whole > 0 else 0.0
    if share < _NOTHING:
        return 0.0
    return 1.0 if share > 1 - _NOTHING else share


def _twice_between(sections: Sequence[FillSection], area: Callable[[FillSection], float]) -> float:
    return sum((b.station_m - a.station_m) * (area(a) + area(b)) for a, b in pairwise(sections))
