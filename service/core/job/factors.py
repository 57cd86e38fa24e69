"""Factors on loads that a rule book asks for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """Load and resistance factors; all 1 where the basis works with safety factors.

    `weight_low` and `weight_high` bound the weight of the mass, `soil` and `live` raise the two
    parts of the thrust, `sliding` and `bearing` lower what resists.
    """

    weight_low: float = 1.0
    weight_high: float = 1.0
    soil: float = 1.0
    live: float = 1.0
    sliding: float = 1.0
    bearing: float = 1.0


NO_FACTORS = Factors()
