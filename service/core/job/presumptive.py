"""Table values that a place's code presumes for a soil by its group, where nobody tested it.

They are minimums for design by someone else, and shown for information: nothing is calculated
with them. Groups are those of the Unified Soil Classification System.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.core.job.soil import SoilGroup
from service.core.measure import TRACE_DIGITS, UnitSet, in_unit, number


@dataclass(frozen=True, slots=True, kw_only=True)
class LateralValues:
    """Lateral pressure per depth, Pa/m: `active_pa_m` for walls that may lean, `at_rest_pa_m`
    for walls that may not."""

    groups: tuple[SoilGroup, ...]
    active_pa_m: float
    at_rest_pa_m: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingValue:
    """Pressure that ground of these groups is presumed to bear, Pa."""

    groups: tuple[SoilGroup, ...]
    bearing_pa: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Presumptive:
    """The tables of one place; soils of the groups in `unsuitable` may not go behind a wall."""

    lateral: tuple[LateralValues, ...] = ()
    bearing: tuple[BearingValue, ...] = ()
    unsuitable: tuple[SoilGroup, ...] = ()

    def lateral_of(self, group: SoilGroup | None) -> LateralValues | None:
        """The row of a group, if the place has one."""
        return next((row for row in self.lateral if group in row.groups), None)

    def bearing_of(self, group: SoilGroup | None) -> BearingValue | None:
        """The row of a group, if the place has one."""
        return next((row for row in self.bearing if group in row.groups), None)


def lateral_words(row: LateralValues, units: UnitSet) -> str:
    """Both figures per unit of depth, with their source."""
    active, rest = (_per_depth(value, units) for value in (row.active_pa_m, row.at_rest_pa_m))
    return f"{active} active and {rest} at rest ({row.source})"


def bearing_words(row: BearingValue, units: UnitSet) -> str:
    """The figure, with its source."""
    return f"{units.show(row.bearing_pa, 'pressure')} of bearing ({row.source})"


def _per_depth(value_pa_m: float, units: UnitSet) -> str:
    """Pa per meter as pressure per unit of length."""
    per_length = in_unit(value_pa_m, units.pressure) / in_unit(1.0, units.length)
    return f"{number(per_length, TRACE_DIGITS)} {units.pressure} per {units.length} of depth"
