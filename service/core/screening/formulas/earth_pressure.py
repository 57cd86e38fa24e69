"""Earth pressure on the back of a wall: coefficients, the failure plane, and the thrust.

Signs: batter ω is positive where the wall leans back into the soil it holds, as dry-stacked
walls do; a slope β is positive where the ground behind rises away from the wall. Text books
often count the batter the other way round: with the sign reversed a leaning wall comes out with
more than twice its pressure. Angles in rad, cohesion left out, no water in the soil.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.core.errors import QuoteError

_ROUNDING = 1e-12  # rad: a slope as steep as the friction angle may differ in the last digit


class PressureLimitError(QuoteError):
    """The formula of a pressure does not hold for these angles; the message names the limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressure:
    """How soil presses on one wall, as bare factors.

    `coefficient`: thrust over ½ γ H²; `horizontal_share`: the level part of the thrust over the
    whole; `surcharge_share`: thrust of a uniform surcharge over q x H x coefficient.
    """

    coefficient: float
    horizontal_share: float = 1.0
    surcharge_share: float = 1.0

    @property
    def horizontal(self) -> float:
        """Coefficient of the level part of the thrust."""
        return self.coefficient * self.horizontal_share


@dataclass(frozen=True, slots=True, kw_only=True)
class Thrust:
    """Level parts of the thrust on 1 m of wall, N/m: soil acts at a third of the height; what
    loads and upper walls add at half of it, or with the moments `added_n` about the base (of upper
    walls, of loads; N m per m), which come from higher up."""

    soil_n_m: float
    surcharge_n_m: float = 0.0
    tiers_n_m: float = 0.0
    added_n: tuple[float, float] | None = None

    def moments_n(self, height_m: float) -> tuple[float, float]:
        """Moments about the base of a back of this height of what upper walls and loads add."""
        if self.added_n is not None:
            return self.added_n
        return self.tiers_n_m * height_m / 2, self.surcharge_n_m * height_m / 2

    def arm_m(self, height_m: float) -> float:
        """How high what loads and upper walls add acts on a back of this height."""
        added = self.added_n_m
        return sum(self.moments_n(height_m)) / added if added > 0 else height_m / 2

    @property
    def added_n_m(self) -> float:
        """What loads and upper walls add."""
        return self.tiers_n_m + self.surcharge_n_m


def coulomb(
    friction_rad: float, wall_friction_rad: float, batter_rad: float, slope_rad: float
) -> float:
    """Coulomb's active coefficient, for an even slope without end behind the wall.

    Holds for 0 <= wall friction <= friction, slope <= friction, 0 < friction + batter < 90°.
    Raises PressureLimitError outside. Source: UFC 3-220-20 (2025) Eq 4-10 and AASHTO LRFD
    3.11.5.3, whose face angles are −ω from vertical and 90° + ω from horizontal.
    """
    _hold_limits(friction_rad, wall_friction_rad, batter_rad, slope_rad)
    lean = math.cos(batter_rad - wall_friction_rad)
    rise = math.sin(friction_rad + wall_friction_rad) * _sine_above(friction_rad, slope_rad)
    root = math.sqrt(rise / (lean * math.cos(batter_rad + slope_rad)))
    below = math.cos(batter_rad) ** 2 * lean * (1 + root) ** 2
    return math.cos(friction_rad + batter_rad) ** 2 / below


def rankine(friction_rad: float, slope_rad: float = 0.0) -> float:
    """Rankine's active coefficient on an upright plane; the thrust runs along the slope.

    Holds for 0 <= friction < 90° and slopes up or down no steeper than friction; raises
    PressureLimitError outside. Source: FHWA-NHI-10-024 Eq 4-1; a state transport agency's
    Trenching and Shoring Manual (2011, rev. 2), ch. 4.
    """
    _hold_friction(friction_rad)
    _hold_slope(friction_rad, abs(slope_rad))
    slope = math.cos(slope_rad)
    root = math.sqrt(max(0.0, slope**2 - math.cos(friction_rad) ** 2))
    return slope * (slope - root) / (slope + root)


def failure_plane_rad(
    friction_rad: float, wall_friction_rad: float, batter_rad: float, slope_rad: float
) -> float:
    """Angle above level of the plane, from the heel of the lowest unit, that slides first.

    Holds within Coulomb's limits (PressureLimitError outside). Source: closed form of the
    segmental retaining wall association and FHWA-NHI-00-043 (memory); it is the plane of the
    largest thrust in a trial wedge.
    """
    _hold_limits(friction_rad, wall_friction_rad, batter_rad, slope_rad)
    rise = math.tan(max(0.0, friction_rad - slope_rad))
    face = 1 / math.tan(friction_rad + batter_rad)
    lean = math.tan(wall_friction_rad - batter_rad)
    root = math.sqrt(rise * (rise + face) * (1 + lean * face))
    return friction_rad + math.atan2(root - rise, 1 + lean * (rise + face))


def surcharge_share(batter_rad: float, slope_rad: float) -> float:
    """Thrust of a uniform surcharge (Pa of plan area) over q x H x coefficient, by Coulomb.

    The sliding wedge carries more of the surcharge where slope and batter come together; the
    association's form leaves it at 1. Source: statics of the wedge. Raises PressureLimitError
    where batter + slope reach 90°.
    """
    across = math.cos(batter_rad + slope_rad)
    if across <= 0:
        raise PressureLimitError(
            f"batter and slope together ({_degrees(batter_rad + slope_rad)}) reach 90°"
        )
    return math.cos(batter_rad) * math.cos(slope_rad) / across


def coulomb_pressure(
    friction_rad: float, wall_friction_rad: float, batter_rad: float, slope_rad: float
) -> Pressure:
    """Coulomb's pressure on the back of the units, with its level share cos(δ − ω).

    Raises PressureLimitError outside Coulomb's limits.
    """
    return Pressure(
        coefficient=coulomb(friction_rad, wall_friction_rad, batter_rad, slope_rad),
        horizontal_share=math.cos(wall_friction_rad - batter_rad),
        surcharge_share=surcharge_share(batter_rad, slope_rad),
    )


def rankine_pressure(friction_rad: float, slope_rad: float = 0.0) -> Pressure:
    """Rankine's pressure on an upright plane, with its level share cos β.

    Raises PressureLimitError outside Rankine's limits.
    """
    return Pressure(
        coefficient=rankine(friction_rad, slope_rad), horizontal_share=math.cos(slope_rad)
    )


def thrust(height_m: float, weight_n_m3: float, surcharge_pa: float, pressure: Pressure) -> Thrust:
    """Level parts of ½ γ H² K and q H K on 1 m of wall, H from the underside of its lowest unit.

    The upright part is left out, on the safe side. Source: segmental retaining wall association
    (memory); statics.
    """
    return Thrust(
        soil_n_m=0.5 * weight_n_m3 * height_m**2 * pressure.horizontal,
        surcharge_n_m=surcharge_pa * height_m * pressure.horizontal * pressure.surcharge_share,
    )


def _hold_limits(friction: float, wall_friction: float, batter: float, slope: float) -> None:
    """Raise PressureLimitError where Coulomb's wedge has no meaning."""
    _hold_friction(friction)
    _hold_slope(friction, slope)
    if not 0 <= wall_friction <= friction + _ROUNDING:
        raise PressureLimitError(
            f"wall friction of {_degrees(wall_friction)} must lie between 0 and the soil's"
            f" friction angle, {_degrees(friction)}"
        )
    if not 0 < friction + batter < math.pi / 2 or batter + slope <= -math.pi / 2:
        raise PressureLimitError(
            f"a batter of {_degrees(batter)} is out of range: friction angle and batter together"
            " must lie between 0 and 90°"
        )


def _hold_friction(friction: float) -> None:
    if not 0 <= friction < math.pi / 2:
        raise PressureLimitError(
            f"a friction angle of {_degrees(friction)} is out of range: 0 or more, under 90°"
        )


def _hold_slope(friction: float, slope: float) -> None:
    if not -math.pi / 2 < slope <= friction + _ROUNDING:
        raise PressureLimitError(
            f"a slope of {_degrees(slope)} is steeper than the soil's friction angle,"
            f" {_degrees(friction)}: such ground does not stand by itself"
        )


def _sine_above(friction: float, slope: float) -> float:
    """sin(friction − slope), 0 where they differ by rounding alone."""
    return max(0.0, math.sin(friction - slope))


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.1f}°"
