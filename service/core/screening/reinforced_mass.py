"""The reinforced mass as a whole: units, and the soil over the length of the layers."""

from __future__ import annotations

import math
from dataclasses import replace

from service.core.job.basis import CheckName
from service.core.screening import gravity
from service.core.screening.check import Finding
from service.core.screening.earth_pressure import Thrust, thrust
from service.core.screening.gravity import Footing
from service.core.screening.reinforced_case import PLUMB_RAD, Reinforced, line_loads

MASS_CHECKS: tuple[CheckName, ...] = ("base_sliding", "overturning", "eccentricity", "bearing")


def mass_finding(name: CheckName, case: Reinforced) -> Finding:
    """What the mass gives for one check at a section. Raises PressureLimitError."""
    section, ground = case.section, case.ground
    height = section.soil_m + case.rise_m
    pushed = thrust(
        height, ground.soils.weight_n_m3, section.load.surcharge_pa, case.pressure_behind()
    )
    (weight, lever), factors = _mass(case), ground.basis.factors
    friction = min(ground.soils.foundation_friction_rad, ground.soils.fill_friction_rad)
    missing: tuple[str, ...] = ()
    if name == "base_sliding":
        value = gravity.sliding(weight, friction, pushed, factors)
    elif name == "overturning":
        value = gravity.overturning(weight, lever, pushed, height, factors)
    elif name == "eccentricity":
        value = gravity.eccentricity(weight, lever, case.length_m, pushed, height, factors)
    else:
        live = section.load.surcharge_pa * case.behind_m
        value = gravity.bearing(weight, lever, _footing(case), pushed, height, factors, live)
        missing = ground.missing_for_bearing
    return Finding(
        check=name,
        station_m=section.station_m,
        value=value,
        how=_mass_how(case, weight, lever, pushed),
        missing=missing,
    )


def _footing(case: Reinforced) -> Footing:
    return replace(case.ground.footing(case.length_m), pad_m=0.0)


def _mass(case: Reinforced) -> tuple[float, float]:
    """Weight and lever of units, soil over the layers and the slope above it.

    The highway manual takes soil over the whole length and leaves the units out.
    """
    section, ground = case.section, case.ground
    weight, slope = ground.soils.fill_weight_n_m3, section.load.back_slope
    height, behind = section.soil_m, case.behind_m
    lean = height * math.tan(case.batter_rad)
    depth = ground.system.standard.depth_m
    if case.highway:
        lean = 0.0 if case.batter_rad < PLUMB_RAD else lean
        parts = [(weight * height * case.length_m, (case.length_m + lean) / 2)]
    else:
        stack = ground.stack(section.courses)
        parts = [
            (stack.weight_n_m, stack.lever_m),
            (weight * height * behind, depth + (behind + lean) / 2),
        ]
    wedge = weight * behind * behind * max(0.0, slope) / 2
    parts.append((wedge, depth + lean + behind * 2 / 3))
    total = math.fsum(part for part, _ in parts)
    return total, math.fsum(part * lever for part, lever in parts) / total


def _mass_how(case: Reinforced, weight: float, lever: float, pushed: Thrust) -> tuple[str, ...]:
    show, line = case.ground.units.show, line_loads(case)
    return (
        (
            f"layers {show(case.length_m, 'length')} long from the face, soil "
            f"{show(case.section.soil_m, 'length')} over the underside of the lowest unit, "
            f"{show(case.rise_m, 'length')} more at the end of the layers"
        ),
        (
            f"thrust of soil {line(pushed.soil_n_m)} and load {line(pushed.surcharge_n_m)} on the "
            f"back of the mass, which weighs {line(weight)} at "
            f"{show(lever, 'length')} from the toe"
        ),
    )
