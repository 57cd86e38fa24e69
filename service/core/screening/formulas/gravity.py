"""Does a mass stand by its own weight: a stack of units, or units and reinforced soil together.

Per m of wall, N, m, rad. Each check gives resistance over load, or e over B; what it must reach
comes with the basis, from the catalog. The upright part of the thrust and the soil in front are
left out, on the safe side. A first look at a wall, never its design.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from service.core.job.factors import NO_FACTORS, Factors
from service.core.screening.formulas.bearing import strip_capacity_pa
from service.core.screening.formulas.earth_pressure import Thrust


@dataclass(frozen=True, slots=True, kw_only=True)
class CapWeight:
    """A cap on the top course: weight of 1 m of it, how far behind the face of that course its
    middle lies, its depth and its height."""

    weight_n_m: float
    middle_m: float
    depth_m: float
    height_m: float


@dataclass(frozen=True, kw_only=True)
class Stack:
    """Dry-stacked courses, each `setback_m` behind the one below, and the cap on them.

    `unit_weight_n_m3` is that of the unit in place, its voids filled or not. Height is that of
    the courses; without `cap` nothing lies on them.
    """

    courses: int
    course_height_m: float
    depth_m: float
    setback_m: float
    unit_weight_n_m3: float
    cap: CapWeight | None = None

    @cached_property
    def height_m(self) -> float:
        """From the underside of the lowest unit to the upper face of the highest."""
        return self.courses * self.course_height_m

    @cached_property
    def units_n_m(self) -> float:
        """Weight of 1 m of the courses."""
        return self.unit_weight_n_m3 * self.depth_m * self.height_m

    @property
    def cap_n_m(self) -> float:
        """Weight of 1 m of the cap, 0 without one."""
        return self.cap.weight_n_m if self.cap else 0.0

    @cached_property
    def weight_n_m(self) -> float:
        """Weight of 1 m of wall."""
        return self.units_n_m + self.cap_n_m

    @cached_property
    def lever_m(self) -> float:
        """From the front edge of the lowest unit to the wall's center, by its true steps."""
        lean = (self.courses - 1) * self.setback_m
        units = self.depth_m / 2 + lean / 2
        if self.cap is None:
            return units
        moment = self.units_n_m * units + self.cap_n_m * (lean + self.cap.middle_m)
        return moment / self.weight_n_m

    @cached_property
    def batter_rad(self) -> float:
        """Lean of the back into the soil."""
        return math.atan2(self.setback_m, self.course_height_m)

    @property
    def hinge_height_m(self) -> float | None:
        """Height whose weight still reaches the joint below it; None without setback.

        depth / tan(batter), on a level base, the unit's center in the middle of its depth.
        Source: segmental retaining wall association (memory).
        """
        if self.setback_m <= 0:
            return None
        return self.depth_m * self.course_height_m / self.setback_m

    @cached_property
    def hinged_weight_n_m(self) -> float:
        """Weight that reaches the joint under the stack: the cap, and of the courses no more than
        their hinge height."""
        hinge = self.hinge_height_m
        if hinge is None or hinge >= self.height_m:
            return self.weight_n_m
        return self.units_n_m * hinge / self.height_m + self.cap_n_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Footing:
    """The ground a mass stands on, and the width it stands with.

    `width_m` of the mass (depth of a unit, or length of the reinforcement), `pad_m` of stone
    below it, `depth_m` from the ground in front to where the pad meets the soil.
    """

    width_m: float
    friction_rad: float
    weight_n_m3: float
    depth_m: float = 0.0
    pad_m: float = 0.0


def sliding(
    weight_n_m: float, base_friction_rad: float, thrust: Thrust, factors: Factors = NO_FACTORS
) -> float:
    """Friction under the base over the thrust; math.inf without thrust.

    Live load drives and never resists. `base_friction_rad` is that of the weakest of what the
    base slides on. Source: FHWA-NHI-10-024 §4.4.6; association (memory).
    """
    resistance = factors.sliding * factors.weight_low * weight_n_m * math.tan(base_friction_rad)
    return _ratio(resistance, driving_n_m(thrust, factors))


def overturning_moment_n(thrust: Thrust, height_m: float, factors: Factors = NO_FACTORS) -> float:
    """Moment of the thrust about the base of 1 m of wall, N m per m: soil acts at a third of
    `height_m`, what is added at half of it or higher. Source: statics."""
    soil = factors.soil * thrust.soil_n_m * height_m / 3
    tiers, loads = thrust.moments_n(height_m)
    return soil + factors.soil * tiers + factors.live * loads


def driving_n_m(thrust: Thrust, factors: Factors) -> float:
    """All that pushes, factored: upper walls as soil, loads as live load."""
    soil = thrust.soil_n_m + thrust.tiers_n_m
    return factors.soil * soil + factors.live * thrust.surcharge_n_m


def overturning(
    weight_n_m: float,
    lever_m: float,
    thrust: Thrust,
    height_m: float,
    factors: Factors = NO_FACTORS,
) -> float:
    """Moment of the weight over that of the thrust, about the front edge of the base.

    Soil acts at a third of `height_m`, what is added at half or higher; math.inf without thrust.
    Source: association (memory); statics.
    """
    resistance = factors.weight_low * weight_n_m * lever_m
    return _ratio(resistance, overturning_moment_n(thrust, height_m, factors))


def eccentricity(
    weight_n_m: float,
    lever_m: float,
    base_m: float,
    thrust: Thrust,
    height_m: float,
    factors: Factors = NO_FACTORS,
) -> float:
    """How far before the middle of the base the load stands, e over B, with the low weight.

    e = B/2 − (MR − MO)/V. 0 where it stands behind the middle: there the mass leans on its soil,
    which presses back. Over ½ it stands off the base; math.inf without weight. Source: text-book
    statics; FHWA-NHI-10-024 §4.4.6.
    """
    weight = factors.weight_low * weight_n_m
    return (
        _eccentricity_m(
            weight, weight * lever_m, base_m, overturning_moment_n(thrust, height_m, factors)
        )
        / base_m
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressing:
    """What presses on the ground below a mass, upright, and on what width; the width is 0 where
    the load stands off the base."""

    upright_n_m: float
    width_m: float

    @property
    def pressure_pa(self) -> float:
        """Even pressure V / B' (Meyerhof); math.inf where the load stands off the base."""
        return self.upright_n_m / self.width_m if self.width_m > 0 else math.inf


def pressing(
    weight_n_m: float, lever_m: float, footing: Footing, moment_n: float, live_n_m: float = 0.0
) -> Pressing:
    """What a mass, live load that stands on it and an overturning moment press on the ground.

    B' = B − 2e + the pad's thickness: the load spreads 1 wide for 2 deep to both sides. Live
    load on the mass acts at the middle of the base; loads come factored. Source: FHWA-NHI-10-024
    Eq 4-18; spread: association (memory).
    """
    upright = weight_n_m + live_n_m
    resisting = weight_n_m * lever_m + live_n_m * footing.width_m / 2
    off = _eccentricity_m(upright, resisting, footing.width_m, moment_n)
    left = footing.width_m - 2 * off
    return Pressing(upright_n_m=upright, width_m=left + footing.pad_m if left > 0 else 0.0)


def bearing(
    weight_n_m: float,
    lever_m: float,
    footing: Footing,
    thrust: Thrust,
    height_m: float,
    factors: Factors = NO_FACTORS,
    live_on_base_n_m: float = 0.0,
) -> float:
    """What the ground bears over what the base presses on it, the worst of four loadings.

    Low and high weight, each with and without the live load on the mass; the live load that
    pushes from behind always acts. Both sides go by B' of `pressing`. 0.0 where the load stands
    off the base, math.inf without load. Source: FHWA-NHI-10-024 §4.4.6.c.
    """
    moment = overturning_moment_n(thrust, height_m, factors)
    weights = (factors.weight_low * weight_n_m, factors.weight_high * weight_n_m)
    lives = (0.0, factors.live * live_on_base_n_m)
    ratios = (
        _bearing_ratio(pressing(weight, lever_m, footing, moment, live), footing)
        for weight in dict.fromkeys(weights)
        for live in dict.fromkeys(lives)
        if moment > 0 or weight + live > 0
    )
    return factors.bearing * min(ratios, default=math.inf)


def interface_shear(
    shear_n_m: float,
    friction_rad: float,
    most_n_m: float | None,
    weight_above_n_m: float,
    thrust_above: Thrust,
    factors: Factors = NO_FACTORS,
) -> float:
    """Shear strength of a joint between courses over the thrust above it; math.inf without.

    `shear_n_m` + weight x tan λ, never over `most_n_m`. `weight_above_n_m` counts up to the
    hinge height only. Source: association, from tests by ASTM D6916 (memory).
    """
    held = shear_n_m + factors.weight_low * weight_above_n_m * math.tan(friction_rad)
    held = held if most_n_m is None else min(held, most_n_m)
    return _ratio(factors.sliding * held, driving_n_m(thrust_above, factors))


def _ratio(resistance: float, load: float) -> float:
    return resistance / load if load > 0 else math.inf


def _eccentricity_m(upright: float, resisting: float, base_m: float, moment: float) -> float:
    """Never below 0: what stands behind the middle leans on its soil."""
    if upright <= 0:
        return math.inf
    return max(0.0, base_m / 2 - (resisting - moment) / upright)


def _bearing_ratio(pressed: Pressing, footing: Footing) -> float:
    capacity = strip_capacity_pa(
        footing.friction_rad, footing.weight_n_m3, footing.depth_m, pressed.width_m
    )
    return _ratio(capacity, pressed.pressure_pa)
