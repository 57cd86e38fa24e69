"""Table values that a place's code presumes for a soil by its group, where nobody tested it.

They are minimums for design by someone else, and shown for information: nothing is calculated
with them. Groups are those of the Unified Soil Classification System.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from service.core.closed_list import row_each
from service.core.job.soil import SoilGroup
from service.core.measure import TRACE_DIGITS, UnitSet, UnitSetName, number

# One pound of force per square foot in Pa, exactly (NIST SP 811, 2008, App. B).
_PSF_PA = 0.45359237 * 9.80665 / 0.3048**2
# A pressure and its symbol, that pressure per unit of depth in Pa/m and the depth's symbol.
_SHOWN: Mapping[UnitSetName, tuple[float, str, float, str]] = row_each(
    get_args(UnitSetName),
    {
        "us": (_PSF_PA, "psf", _PSF_PA / 0.3048, "ft"),
        "metric": (1000.0, "kPa", 1000.0, "m"),
    },
)


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
    pressure, symbol, _, _ = _SHOWN[units.name]
    shown = number(row.bearing_pa / pressure, TRACE_DIGITS)
    return f"{shown} {symbol} of bearing ({row.source})"


def _per_depth(value_pa_m: float, units: UnitSet) -> str:
    _, symbol, per_depth, depth = _SHOWN[units.name]
    return f"{number(value_pa_m / per_depth, TRACE_DIGITS)} {symbol} per {depth} of depth"
