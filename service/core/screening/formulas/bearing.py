"""What the ground under a strip bears: Pa, m, rad. Cohesion is left out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingFactors:
    """Bare factors of the ground beside the strip, and of the ground below it."""

    nq: float
    ngamma: float

    def capacity_pa(self, weight_n_m3: float, depth_m: float, width_m: float) -> float:
        """Most pressure under a long strip: γ D Nq + ½ γ B' Nγ."""
        beside = weight_n_m3 * depth_m * self.nq
        below = 0.5 * weight_n_m3 * width_m * self.ngamma
        return beside + below


@lru_cache(maxsize=256)
def bearing_factors(friction_rad: float) -> BearingFactors:
    """Factors of a long strip on level, drained ground, 0 <= friction < 90° (tables end at 45°).

    Nq by Reissner, Nγ by Vesić. Source: FHWA-NHI-10-024 Table 4-6. Raises ValueError outside the
    range.
    """
    if not 0 <= friction_rad < math.pi / 2:
        raise ValueError("a friction angle is 0 or more and under 90°")
    slope = math.tan(friction_rad)
    nq = math.exp(math.pi * slope) * math.tan(math.pi / 4 + friction_rad / 2) ** 2
    return BearingFactors(nq=nq, ngamma=2 * (nq + 1) * slope)


def strip_capacity_pa(
    friction_rad: float, weight_n_m3: float, depth_m: float, width_m: float
) -> float:
    """Ultimate bearing of a long strip `width_m` wide, `depth_m` below the ground beside it.

    `width_m` is what presses (B − 2e). For level ground, load upright, no water; ground that
    falls away in front bears less. Source: FHWA-NHI-10-024 §4.4.6.c. Raises ValueError for
    friction out of range.
    """
    return bearing_factors(friction_rad).capacity_pa(weight_n_m3, depth_m, width_m)
