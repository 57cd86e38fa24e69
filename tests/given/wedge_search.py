"""A second method: the push of the ground behind a wall, from polygons cut by 10,000 planes.

Ground, courses and the cap of an upper wall are polygons with a weight, loads are lines; Shapely
cuts them. In lb and ft from the heel. Nothing here comes from the service.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

FAR = 300.0
PLANES = 10_000


@dataclass(frozen=True)
class Searched:
    """What pushes: polygons with lb/ft3, lines with lb/ft2 of plan, the friction of the soil and
    of the back in degrees, and the lean of the back, run over rise. `edge` is where other ground
    begins behind the heel and how it rises there, `edge_deg` its friction."""

    bodies: Sequence[tuple[Polygon, float]]
    loads: Sequence[tuple[LineString, float]]
    friction_deg: float
    back_deg: float
    batter: float
    edge: tuple[float, float] | None = None
    edge_deg: float = 0.0

    def push(self) -> float:
        """The largest level push over planes through the heel, lb/ft."""
        grip = math.tan(math.radians(self.friction_deg))
        behind = math.tan(math.radians(self.edge_deg)) if self.edge else grip
        low, high = math.atan(min(grip, behind)), math.pi / 2 - math.atan(self.batter)
        angles = low + (high - low) * np.arange(1, PLANES) / PLANES
        rise = np.tan(angles)
        corner = np.stack([np.full_like(rise, FAR), FAR * rise], axis=1)
        rings = np.stack([np.zeros_like(corner), corner, corner * [0.0, 1.0]], axis=1)
        over = shapely.polygons(rings)
        weight = self._weight(over)
        held = weight * grip
        if self.edge:
            start = self._starts(rise)
            beyond = shapely.box(start, -1.0, FAR, FAR * FAR)
            held += (behind - grip) * self._weight(shapely.intersection(over, beyond))
        drive = weight * rise - held
        with np.errstate(divide="ignore", invalid="ignore"):
            mean = np.arctan(held / weight)
        lean = math.radians(self.back_deg) - math.atan(self.batter)
        push = weight * np.sin(angles - mean) / np.cos(angles - mean - lean) * math.cos(lean)
        return float(np.max(np.where(drive > 0, push, 0.0)))

    def _starts(self, rise: np.ndarray) -> np.ndarray:
        """Where each plane runs into the other ground."""
        floor, slope = self.edge or (0.0, 0.0)
        with np.errstate(divide="ignore"):
            return np.where(rise < slope, np.minimum(floor * slope / (slope - rise), FAR), FAR)

    def _weight(self, over: np.ndarray) -> np.ndarray:
        total = np.zeros(len(over))
        for outline, pcf in self.bodies:
            total += pcf * shapely.area(shapely.intersection(outline, over))
        for line, psf in self.loads:
            box = shapely.bounds(shapely.intersection(line, over))
            total += psf * np.nan_to_num(box[:, 2] - box[:, 0])
        return total
