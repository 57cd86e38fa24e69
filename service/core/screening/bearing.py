"""What the ground under a strip bears, and what a rigid base presses on it: Pa, m, rad."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingFactors:
    """Bare factors of cohesion, of the ground beside the strip, and of the ground below it."""

    nc: float
    nq: float
    ngamma: float

    def capacity_pa(
        self, weight_n_m3: float, depth_m: float, width_m: float, cohesion_pa: float = 0.0
    ) -> float:
        """Most pressure under a long strip: c Nc + γ D Nq + ½ γ B' Nγ."""
        beside = weight_n_m3 * depth_m * self.nq
        below = 0.5 * weight_n_m3 * width_m * self.ngamma
        return cohesion_pa * self.nc + beside + below


@dataclass(frozen=True, slots=True, kw_only=True)
class BasePressure:
    """Pressure at the two edges of a rigid base, and how much of its width presses at all."""

    most_pa: float
    least_pa: float
    loaded_m: float


def bearing_factors(friction_rad: float) -> BearingFactors:
    """Factors of a long strip on level, drained ground, 0 <= friction < 90° (tables end at 45°).

    Nq by Reissner, Nc by Prandtl (2 + π without friction), Nγ by Vesić. Source: FHWA-NHI-10-024
    Table 4-6. Raises ValueError outside the range.
    """
    if not 0 <= friction_rad < math.pi / 2:
        raise ValueError("a friction angle is 0 or more and under 90°")
    slope = math.tan(friction_rad)
    nq = math.exp(math.pi * slope) * math.tan(math.pi / 4 + friction_rad / 2) ** 2
    nc = (nq - 1) / slope if slope > 0 else 2 + math.pi
    return BearingFactors(nc=nc, nq=nq, ngamma=2 * (nq + 1) * slope)


def strip_capacity_pa(
    friction_rad: float,
    weight_n_m3: float,
    depth_m: float,
    width_m: float,
    cohesion_pa: float = 0.0,
) -> float:
    """Ultimate bearing of a long strip `width_m` wide, `depth_m` below the ground beside it.

    `width_m` is what presses (B − 2e). For level ground, load upright, no water; ground that
    falls away in front bears less. Source: FHWA-NHI-10-024 §4.4.6.c. Raises ValueError for
    friction out of range.
    """
    factors = bearing_factors(friction_rad)
    return factors.capacity_pa(weight_n_m3, depth_m, width_m, cohesion_pa)


def base_pressure(upright_n_m: float, eccentricity_m: float, base_m: float) -> BasePressure:
    """Edge pressures of a rigid base whose load stands `eccentricity_m` off its middle.

    Within the middle third V/B (1 ± 6e/B); beyond it the far edge lifts and the near edge
    carries 2V/(3(B/2 − e)); math.inf where the load stands off the base. Source: UFC 3-220-20
    (2025) Eq 4-23 to 4-26, statics. Raises nothing.
    """
    off = abs(eccentricity_m)
    if off >= base_m / 2:
        return BasePressure(most_pa=math.inf, least_pa=0.0, loaded_m=0.0)
    if off <= base_m / 6:
        even, change = upright_n_m / base_m, 6 * off / base_m
        return BasePressure(
            most_pa=even * (1 + change), least_pa=even * max(0.0, 1 - change), loaded_m=base_m
        )
    loaded = 3 * (base_m / 2 - off)
    return BasePressure(most_pa=2 * upright_n_m / loaded, least_pa=0.0, loaded_m=loaded)
