"""The checks of a reinforced mass as a whole: units, and the soil over the length of the layers."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.core.job.factors import Factors
from service.core.screening.formulas import gravity
from service.core.screening.formulas.earth_pressure import Thrust
from service.core.screening.formulas.gravity import Footing
from service.core.screening.formulas.wedge_slice import WedgeSlice, area_under
from service.core.screening.reinforced_case import Reinforced, line_loads


@dataclass(frozen=True, slots=True, kw_only=True)
class MassCase:
    """The mass of one section, its weight and lever, and the thrust on its back, `height_m`
    high."""

    layered: Reinforced
    weight_n_m: float
    lever_m: float
    pushed: Thrust
    height_m: float

    @property
    def factors(self) -> Factors:
        """Load and resistance factors of the basis."""
        return self.layered.ground.basis.factors

    @property
    def footing(self) -> Footing:
        """What the mass stands on: soil, without the pad of the units."""
        return replace(self.layered.ground.footing(self.layered.length_m), pad_m=0.0)


def mass_case(case: Reinforced) -> MassCase:
    """A section's mass. Raises PressureLimitError."""
    weight, lever = case.mass
    return MassCase(
        layered=case,
        weight_n_m=weight,
        lever_m=lever,
        pushed=case.pushed,
        height_m=case.rear.height_m,
    )


def sliding(case: MassCase) -> float:
    """Friction under the mass over the thrust: of the weaker of foundation and fill."""
    soils = case.layered.ground.soils
    friction = min(soils.foundation_friction_rad, soils.fill_friction_rad)
    return gravity.sliding(case.weight_n_m, friction, case.pushed, case.factors)


def overturning(case: MassCase) -> float:
    """Moment of the mass over that of the thrust, about the toe."""
    return gravity.overturning(
        case.weight_n_m, case.lever_m, case.pushed, case.height_m, case.factors
    )


def eccentricity(case: MassCase) -> float:
    """How far before the middle of the mass the load stands, over its length."""
    base = case.layered.length_m
    return gravity.eccentricity(
        case.weight_n_m, case.lever_m, base, case.pushed, case.height_m, case.factors
    )


def bearing(case: MassCase) -> float:
    """What the ground bears over what the mass and the load on it press."""
    live = _stands_on(case.layered)
    return gravity.bearing(
        case.weight_n_m,
        case.lever_m,
        case.footing,
        case.pushed,
        case.height_m,
        case.factors,
        live,
    )


def mass_in_words(case: MassCase) -> tuple[str, ...]:
    """Length, height, thrust and weight at one section."""
    of, show, line = case.layered, case.layered.ground.units.show, line_loads(case.layered)
    return (
        (
            f"layers {show(of.length_m, 'length')} long from the face, soil "
            f"{show(of.section.soil_m, 'length')} over the underside of the lowest unit, "
            f"{show(of.rise_m, 'length')} more at the end of the layers"
        ),
        (
            f"thrust of soil {line(case.pushed.soil_n_m)} and what stands on it "
            f"{line(case.pushed.added_n_m)} on the back of the mass, which weighs "
            f"{line(case.weight_n_m)} at {show(case.lever_m, 'length')} from the toe"
        ),
    )


def _stands_on(case: Reinforced) -> float:
    """What loads and upper walls press on the mass, N/m."""
    drawn, begins = case.picture.drawn, case.filled.grade_m
    ends = begins + case.behind_m
    loads = math.fsum(
        slice_.load_pa * max(0.0, min(slice_.to_m, ends) - max(slice_.from_m, begins))
        for slice_ in drawn.loads
    )
    if drawn.standing == drawn.soil:
        return loads
    return loads + _weight(drawn.standing, begins, ends) - _weight(drawn.soil, begins, ends)


def _weight(slices: Iterable[WedgeSlice], from_m: float, to_m: float) -> float:
    return math.fsum(
        slice_.weight_n_m3 * area_under([slice_], from_m, to_m, 0.0) for slice_ in slices
    )
