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

from service.core.screening.earth_pressure import Pressure

FACES = 2  # soil holds a sheet from above and from below


def long_term_n_m(ultimate_n_m: float, creep: float, durability: float, damage: float) -> float:
    """Strength that lasts: the ultimate one over all three reduction factors (each 1 or more).

    Without data of the product one factor stands for all three. Source: FHWA-NHI-10-024 Eq 3-12.
    """
    return ultimate_n_m / (creep * durability * damage)


def bounds_m(elevations_m: Sequence[float], height_m: float) -> tuple[float, ...]:
    """Borders of what each layer carries: the pad, the middles between layers, the wall's top."""
    middles = ((low + high) / 2 for low, high in itertools.pairwise(elevations_m))
    return 0.0, *middles, height_m


def shares_m(elevations_m: Sequence[float], height_m: float) -> tuple[float, ...]:
    """Height that each layer carries, from the lowest up; together the whole wall.

    `elevations_m` rises. Middle to middle, the highest to the top of the wall, the lowest to the
    pad; () without layers. Source: FHWA-NHI-10-024 §4.4.7.e.
    """
    if not elevations_m:
        return ()
    return tuple(high - low for low, high in itertools.pairwise(bounds_m(elevations_m, height_m)))


def middle_depths_m(elevations_m: Sequence[float], height_m: float) -> tuple[float, ...]:
    """Depth below the wall's top of the middle of each share, which is not the layer's own
    depth where layers are spaced unevenly. () without layers."""
    if not elevations_m:
        return ()
    return tuple(
        height_m - (low + high) / 2
        for low, high in itertools.pairwise(bounds_m(elevations_m, height_m))
    )


def tension_n_m(
    share_m: float,
    middle_depth_m: float,
    pressure: Pressure,
    weight_n_m3: float,
    surcharge_pa: float,
) -> float:
    """Pull on a layer, association: level pressure at the middle of its share x the share.

    All layers together pull exactly as much as the thrust on the wall. Source: association
    (memory); statics.
    """
    press = weight_n_m3 * middle_depth_m + surcharge_pa * pressure.surcharge_share
    return press * pressure.horizontal * share_m


def fhwa_tension_n_m(coefficient: float, upright_pa: float, share_m: float) -> float:
    """Pull on a layer, FHWA: Kr x upright pressure on it x its share (Kr = Ka for sheets).

    `upright_pa` with surcharge and load factors. Source: FHWA-NHI-10-024 Eq 4-27, 4-32.
    """
    return coefficient * upright_pa * share_m


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
    """Length beyond the failure plane; 0 where the layer ends before it.

    `length_m` counts from the face of the units. `unit_depth_m` is 0 where `distance_m` counts
    from the face too (FHWA).
    """
    return max(0.0, length_m - unit_depth_m - distance_m)


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

    `overburden_m` averaged over the anchored part; live load never holds. Source: association
    (memory).
    """
    upright = overburden_m * weight_n_m3
    return FACES * upright * anchorage_m * interaction * math.tan(friction_rad)


def fhwa_pullout_n_m(
    pullout_factor: float,
    scale: float,
    upright_pa: float,
    anchorage_m: float,
    coverage: float = 1.0,
) -> float:
    """What holds a layer in the soil, FHWA: F* α σv Le C Rc, C = 2 faces.

    `upright_pa` over the anchored part without live load. Source: FHWA-NHI-10-024 Eq 4-35.
    """
    return pullout_factor * scale * upright_pa * anchorage_m * FACES * coverage


def connection_n_m(
    strength_n_m: float, friction_rad: float, most_n_m: float | None, weight_above_n_m: float
) -> float:
    """Strength of the joint of a layer with the units: strength + weight x tan, up to the most.

    `weight_above_n_m` counts up to the hinge height only. Source: association, from tests by
    ASTM D6638 (memory).
    """
    held = strength_n_m + weight_above_n_m * math.tan(friction_rad)
    return held if most_n_m is None else min(held, most_n_m)
