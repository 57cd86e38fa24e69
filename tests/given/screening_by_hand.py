"""A second method: the ratios of a stack and the failure plane in pounds and feet, straight from
the printed formulas, and the plane by search."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHand:
    """A stack of units 8 x 12 in under soil of one weight, in lb, ft and degrees."""

    courses: int
    friction: float = 30.0
    base_friction: float = 30.0
    setback_in: float = 0.75
    slope: float = 0.0  # rise over run
    surcharge: float = 0.0  # lb/ft2
    soil_weight: float = 120.0
    height: float | None = None  # of the soil; of the courses without it
    load_factor: float = 1.0
    live_factor: float = 1.0

    @property
    def soil_height(self) -> float:
        """Soil height, ft."""
        return self.courses * 8 / 12 if self.height is None else self.height

    @property
    def coefficient(self) -> float:
        """Coulomb's coefficient of the stack's back, wall friction of two thirds."""
        phi, beta = math.radians(self.friction), math.atan(self.slope)
        omega, delta = math.atan(self.setback_in / 8), phi * 2 / 3
        root = math.sqrt(
            math.sin(phi + delta)
            * math.sin(phi - beta)
            / (math.cos(omega - delta) * math.cos(omega + beta))
        )
        return math.cos(phi + omega) ** 2 / (
            math.cos(omega) ** 2 * math.cos(omega - delta) * (1 + root) ** 2
        )

    @property
    def level(self) -> float:
        """The level part of the coefficient."""
        omega, delta = math.atan(self.setback_in / 8), math.radians(self.friction) * 2 / 3
        return self.coefficient * math.cos(delta - omega)

    @property
    def soil_push(self) -> float:
        """Level push of the soil, lb/ft."""
        return self.load_factor * self.soil_weight * self.soil_height**2 / 2 * self.level

    @property
    def live_push(self) -> float:
        """Level push of the load behind, lb/ft."""
        return self.live_factor * self.surcharge * self.soil_height * self.level

    @property
    def weight(self) -> float:
        """Weight of the units, lb/ft."""
        return 120 * 1.0 * self.courses * 8 / 12

    @property
    def arm(self) -> float:
        """From the toe to the middle of the stack, ft."""
        return 0.5 + (self.courses - 1) * self.setback_in / 12 / 2

    @property
    def turning(self) -> float:
        """Moment of the pushes about the toe, lb."""
        return self.soil_push * self.soil_height / 3 + self.live_push * self.soil_height / 2

    @property
    def sliding(self) -> float:
        """Resistance over push at the base."""
        grip = math.tan(math.radians(min(self.base_friction, 90)))
        return self.weight * grip / (self.soil_push + self.live_push)

    @property
    def overturning(self) -> float:
        """Holding over turning moment."""
        return self.weight * self.arm / self.turning

    @property
    def eccentricity(self) -> float:
        """Eccentricity over the depth of a unit."""
        return 0.5 - (self.weight * self.arm - self.turning) / self.weight

    @property
    def bearing(self) -> float:
        """What the ground bears over what stands on it, spread 2:1 through 6 in of pad; no depth
        of ground is counted, nothing bears where the load stands off the base, and a stack that
        leans back on its soil presses evenly."""
        off = max(0.0, self.eccentricity)
        if off >= 0.5:
            return 0.0
        phi = math.radians(self.base_friction)
        quotient = math.exp(math.pi * math.tan(phi)) * math.tan(math.pi / 4 + phi / 2) ** 2
        breadth, width = 2 * (quotient + 1) * math.tan(phi), 1 - 2 * off + 0.5
        return self.soil_weight * width * breadth / 2 / (self.weight / width)


def plane_distance(elevation: float, *, setback_in: float = 1.0, friction: float = 30.0) -> float:
    """From the back of the units to Coulomb's failure plane at a height over the pad, level
    ground, ft: E / tan(plane) - E x batter, found as the wedge that pushes most, by search."""
    phi, omega = math.radians(friction), math.atan(setback_in / 8)
    delta = phi * 2 / 3

    def push(plane: float) -> float:
        # weight of the wedge between back and plane, and the force polygon with friction on both
        area = (1 / math.tan(plane) - math.tan(omega)) / 2
        return area * math.sin(plane - phi) / math.cos(plane - phi - delta + omega)

    low, high = phi + 1e-6, math.pi / 2 - omega - 1e-6
    golden = (math.sqrt(5) - 1) / 2
    for _ in range(200):
        left, right = high - golden * (high - low), low + golden * (high - low)
        low, high = (low, right) if push(left) > push(right) else (left, high)
    return elevation * (1 / math.tan((low + high) / 2) - math.tan(omega))
