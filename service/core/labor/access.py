"""The way from where the truck drops to the wall: how long, how narrow, what it carries."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import get_args

from service.core.closed_list import row_each
from service.core.fraction import Fraction
from service.core.job.access import Access, Drop
from service.core.job.factor import Factor
from service.core.job.machine import Carrying
from service.core.job.measured import Measured, measured_at
from service.core.measure import UnitSet, in_unit, number
from service.core.shares import Shares, add_up

# Where a truck may set its load down, from near to far.
DROPS: tuple[Drop, ...] = get_args(Drop)


def carried_m(access: Access, carrying: Carrying) -> float:
    """Level way that the way to the wall counts as, beyond what other hours include already."""
    climb = abs(access.rise_m) * float(carrying.per_rise)
    steps = access.stairs * carrying.per_step_m
    return max(0.0, access.distance_m + climb + steps - carrying.included_m)


def distance_factor(
    access: Access | None, carrying: Carrying, per_distance_m: float, units: UnitSet
) -> Factor:
    """How many times the distance of a rate the way is; 0 where nobody said how far it is."""
    if access is None:
        return Factor(factor=Fraction(0), words="no way to the wall is stated")
    step = in_unit(per_distance_m, units.length)
    way = in_unit(carried_m(access, carrying), units.length)
    factor = Fraction(Decimal(number(way))) / Fraction(Decimal(number(step)))
    shown = f"{number(way)} {units.length} of way / {number(step)} {units.length}"
    return Factor(factor=factor, words=f"{shown}{_counted(access, carrying, units)}")


def _counted(access: Access, carrying: Carrying, units: UnitSet) -> str:
    """How rise, stairs and what is included enter the way, where they do."""
    parts = [units.show(access.distance_m, "length")]
    if access.rise_m and carrying.per_rise:
        rise = units.show(abs(access.rise_m), "length")
        parts.append(f"+ {number(carrying.per_rise)} x {rise} of rise")
    if access.stairs and carrying.per_step_m:
        step = units.show(carrying.per_step_m, "length")
        parts.append(f"+ {access.stairs} steps x {step}")
    if carrying.included_m:
        parts.append(f"- {units.show(carrying.included_m, 'length')} included elsewhere")
    return f": {' '.join(parts)}" if len(parts) > 1 else ""


def measure_access(
    access: Access | None, measured: Mapping[Measured, Shares]
) -> Mapping[Measured, Shares]:
    """What is carried over the way and what of it is covered, of what takeoff and earthwork have
    `measured`; nothing of any where nobody said what the way is.

    `carried_soil_volume` is loose soil that leaves or comes, by the walls it is dug or placed for.
    """
    return {name: by(access, measured) if access else () for name, by in _BY_WAY.items()}


_BY_WAY: Mapping[Measured, Callable[[Access, Mapping[Measured, Shares]], Shares]] = row_each(
    measured_at("access"),
    {
        "carried_mass": lambda _way, measured: measured["delivered_mass"],
        "carried_soil_volume": lambda _way, measured: add_up(
            (*measured["haul_off_volume"], *measured["import_volume"])
        ),
        "protected_area": lambda way, _measured: (("", way.protect_m2),) if way.protect_m2 else (),
    },
)
