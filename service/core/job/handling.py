"""Lifting a unit by hand: the posture in which a place takes it to be lifted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.core.job.lifting import METRIC, US, Lift, weight_limit_kg

Constants = Literal["us", "metric"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """The lift that a place takes as usual, and the constants it is weighed with: those of one
    system, whatever the quote's units, so that the same unit always has the same index."""

    lift: Lift
    constants: Constants = "us"

    @property
    def limit_kg(self) -> float:
        """The most that one person may lift so, kg."""
        return weight_limit_kg(self.lift, US if self.constants == "us" else METRIC)
