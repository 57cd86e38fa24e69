"""Lifting a unit by hand: the posture in which a place takes it to be lifted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from service.core.closed_list import row_each
from service.core.job.lifting import METRIC, US, Lift, LiftConstants, weight_limit_kg

Constants = Literal["us", "metric"]
_CONSTANTS: Mapping[Constants, LiftConstants] = row_each(
    get_args(Constants), {"us": US, "metric": METRIC}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """The lift that a place takes as usual, and the constants it is weighed with: those of one
    system, whatever the quote's units, so that the same unit always has the same index."""

    lift: Lift
    constants: Constants = "us"

    @property
    def limit_kg(self) -> float:
        """The most that one person may lift so, kg."""
        return weight_limit_kg(self.lift, _CONSTANTS[self.constants])
