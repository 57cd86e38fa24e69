"""What screening takes from the soils: angles in rad, weights in N/m3 as compacted.

Cohesion is left out: it is lost when soil is dug, wetted or dries out (rule 14.3).
"""

from __future__ import annotations

from dataclasses import dataclass

from service.core.job.basis import Basis
from service.core.job.section import Section
from service.core.job.soil import Soil
from service.core.measure import STANDARD_GRAVITY


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilFigures:
    """Soil behind the wall, under it and, in front of the cut, the fill that is put back.

    `base_friction_rad` is the weaker of foundation soil and pad stone, where the section gives
    the stone's.
    """

    friction_rad: float
    wall_friction_rad: float
    weight_n_m3: float
    foundation_friction_rad: float
    foundation_weight_n_m3: float
    base_friction_rad: float
    fill_friction_rad: float
    fill_wall_friction_rad: float
    fill_weight_n_m3: float


def soil_figures(
    retained: Soil, foundation: Soil | None, fill: Soil | None, section: Section, basis: Basis
) -> SoilFigures:
    """Figures of the soils of a job; foundation and fill default to the retained soil."""
    under, put_back = foundation or retained, fill or retained
    stone = section.leveling_pad.friction_angle_rad
    frictions = [under.friction_angle_rad] + ([stone] if stone is not None else [])
    return SoilFigures(
        friction_rad=retained.friction_angle_rad,
        wall_friction_rad=_wall_friction(retained, basis),
        weight_n_m3=weight_n_m3(retained),
        foundation_friction_rad=under.friction_angle_rad,
        foundation_weight_n_m3=weight_n_m3(under),
        base_friction_rad=min(frictions),
        fill_friction_rad=put_back.friction_angle_rad,
        fill_wall_friction_rad=_wall_friction(put_back, basis),
        fill_weight_n_m3=weight_n_m3(put_back),
    )


def weight_n_m3(soil: Soil) -> float:
    """Unit weight of a soil as compacted, N/m3."""
    return soil.compacted_kg_m3 * STANDARD_GRAVITY


def _wall_friction(soil: Soil, basis: Basis) -> float:
    if soil.wall_friction_rad is not None:
        return soil.wall_friction_rad
    return basis.wall_friction_share * soil.friction_angle_rad
