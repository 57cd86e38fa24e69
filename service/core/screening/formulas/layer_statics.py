"""Does each layer of reinforcement hold what the soil pulls on it: per m of wall, N, m, rad.

Two published ways, never mixed in one quote: that of the segmental retaining wall association
(Coulomb's plane from the heel of the lowest unit, level parts of the pressure) and that of FHWA
(Rankine's plane from the toe, pressure times weight above). Elevations count from the underside
of the lowest unit. A preliminary layout to be priced; a licensed engineer designs what is built.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

FACES = 2  # soil holds a sheet from above and from below


@dataclass(frozen=True, slots=True, kw_only=True)
class Tributary:
    """What one layer carries: so much height of the wall, whose middle lies `middle_depth_m` under
    the wall's top. That is not the layer's own depth where layers are spaced unevenly."""

    height_m: float
    middle_depth_m: float


def long_term_n_m(ultimate_n_m: float, *factors: float) -> float:
    """Strength that lasts: the ultimate one over every reduction factor (each 1 or more).

    Creep, durability and damage; without data of the product one factor stands for all three.
    Source: FHWA-NHI-10-024 Eq 3-12.
    """
    return ultimate_n_m / math.prod(factors)


def tributaries(elevations_m: Sequence[float], height_m: float) -> tuple[Tributary, ...]:
    """What each layer carries, from the lowest up; together the whole wall.

    `elevations_m` rises. Middle to middle, the highest to the top of the wall, the lowest to the
    pad; () without layers. Source: FHWA-NHI-10-024 §4.4.7.e.
    """
    if not elevations_m:
        return ()
    middles = ((low + high) / 2 for low, high in itertools.pairwise(elevations_m))
    return tuple(
        Tributary(height_m=high - low, middle_depth_m=height_m - (low + high) / 2)
        for low, high in itertools.pairwise((0.0, *middles, height_m))
    )


def fhwa_tension_n_m(coefficient: float, upright_pa: float, height_m: float) -> float:
    """Pull on a layer, FHWA: Kr x upright pressure on it x the height that it carries (Kr = Ka
    for sheets).

    `upright_pa` with surcharge and load factors. Source: FHWA-NHI-10-024 Eq 4-27, 4-32.
    """
    return coefficient * upright_pa * height_m


def plane_distance_m(elevation_m: float, plane_rad: float, batter_rad: float) -> float:
    """From the back of the units to the failure plane at a layer, association.

    The plane starts at the heel of the lowest unit (`failure_plane_rad`), and the back leans
    after it: E / tan ρ − E tan ω. Source: association (memory).
    """
    return elevation_m / math.tan(plane_rad) - elevation_m * math.tan(batter_rad)


def fhwa_plane_distance_m(elevation_m: float, friction_rad: float) -> float:
    """From the face of the wall to the failure plane at a layer, FHWA, batter under 10°.

    (H − z) tan(45° − φ/2), φ of the reinforced soil; `elevation_m` is H − z, above the toe.
    Source: FHWA-NHI-10-024 Eq 4-38.
    """
    return elevation_m * math.tan(math.pi / 4 - friction_rad / 2)


def anchorage_m(length_m: float, unit_depth_m: float, distance_m: float) -> float:
    """Length beyond the failure plane; below 0 where the layer ends before it.

    `length_m` counts from the face of the units. `unit_depth_m` is 0 where `distance_m` counts
    from the face too (FHWA).
    """
    return length_m - unit_depth_m - distance_m


def shortest_length_m(anchorage_m: float, unit_depth_m: float, distance_m: float) -> float:
    """Length from the face of the units that leaves `anchorage_m` beyond the failure plane."""
    return unit_depth_m + distance_m + anchorage_m


def overburden_m(cover_m: float, from_m: float, to_m: float, slope_rad: float) -> float:
    """Average depth of ground over the anchored part of a layer.

    `cover_m` lies over the layer at the top of the wall; from there the ground rises by
    `slope_rad`. `from_m` and `to_m` bound the anchored part, level, from where the slope starts
    (below 0: still in front of it, where the depth is `cover_m`).
    """
    if to_m <= from_m:
        return cover_m + max(0.0, to_m) * math.tan(slope_rad)
    raised = (max(0.0, to_m) ** 2 - max(0.0, from_m) ** 2) / 2
    return cover_m + raised * math.tan(slope_rad) / (to_m - from_m)


def pullout_n_m(
    overburden_m: float,
    weight_n_m3: float,
    anchorage_m: float,
    interaction: float,
    friction_rad: float,
) -> float:
    """What holds a layer in the soil, association: 2 d γ Le Ci tan φ.

    `overburden_m` averaged over the anchored part; live load never holds. 0 where nothing is
    anchored. Source: association (memory).
    """
    upright = overburden_m * weight_n_m3
    return FACES * upright * max(0.0, anchorage_m) * interaction * math.tan(friction_rad)


def fhwa_pullout_n_m(
    pullout_factor: float, scale: float, upright_pa: float, anchorage_m: float
) -> float:
    """What holds a layer that covers all of its area (Rc = 1), FHWA: F* α σv Le C, C = 2 faces.

    `upright_pa` over the anchored part without live load. 0 where nothing is anchored. Source:
    FHWA-NHI-10-024 Eq 4-35.
    """
    return pullout_factor * scale * upright_pa * max(0.0, anchorage_m) * FACES


def connection_n_m(
    strength_n_m: float, friction_rad: float, most_n_m: float | None, weight_above_n_m: float
) -> float:
    """Strength of the joint of a layer with the units: strength + weight x tan, up to the most.

    `weight_above_n_m` counts up to the hinge height only. Source: association, from tests by
    ASTM D6638 (memory).
    """
    held = strength_n_m + weight_above_n_m * math.tan(friction_rad)
    return held if most_n_m is None else min(held, most_n_m)
