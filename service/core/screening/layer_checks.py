"""The checks of one layer: its strength, its hold in the soil and its joint with the units, each
held against the pull of the soil that it carries (`Reinforced.pulls_n_m`)."""

from __future__ import annotations

import math

from service.core.job.reinforcement import Connection
from service.core.rounding import nearest_joint
from service.core.screening.formulas.ground_lines import level_at
from service.core.screening.formulas.layer_statics import (
    anchorage_m,
    connection_n_m,
    fhwa_plane_distance_m,
    fhwa_pullout_n_m,
    long_term_n_m,
    plane_distance_m,
    pullout_n_m,
    shortest_length_m,
)
from service.core.screening.formulas.wedge_slice import area_under
from service.core.screening.reinforced_case import Reinforced, line_loads


def tension(case: Reinforced, _: float) -> float:
    """Long-term strength of the sheet, factored, N/m."""
    return case.ground.basis.factors.tension * sheet_strength_n_m(case)


def tension_words(case: Reinforced, _: float) -> str:
    """Long-term strength of the sheet."""
    return f"long-term strength of the sheet {line_loads(case)(sheet_strength_n_m(case))}"


def pullout(case: Reinforced, elevation_m: float) -> float:
    """What the soil holds of a layer, factored, N/m. Raises PressureLimitError."""
    return case.ground.basis.factors.pullout * hold(case, elevation_m)[1]


def pullout_words(case: Reinforced, elevation_m: float) -> str:
    """Where a layer is anchored, and what that holds. Raises PressureLimitError."""
    anchorage, strength = hold(case, elevation_m)
    held = case.ground.units.show(anchorage, "length")
    return f"anchored over {held} beyond the failure plane: {line_loads(case)(strength)}"


def connection(case: Reinforced, elevation_m: float) -> float:
    """Strength of the joint of a layer with the units, factored, N/m."""
    return case.ground.basis.factors.tension * _connection_n_m(case, elevation_m)


def connection_words(case: Reinforced, elevation_m: float) -> str:
    """Strength of the joint of a layer with the units."""
    return f"joint with the units {line_loads(case)(_connection_n_m(case, elevation_m))}"


def no_interaction(case: Reinforced) -> str | None:
    """What a check of pullout lacks where neither basis nor sheet says how soil holds it."""
    return "interaction of the sheet with the soil" if _hold_share(case) is None else None


def untested_connection(case: Reinforced) -> str | None:
    """What a check of the joint with the units lacks without tests of both together."""
    if _connection(case) is not None:
        return None
    return f"tested strength of the joint between the sheet and {case.ground.system.id}"


def _hold_share(case: Reinforced) -> float | None:
    """Share of the fill's friction that holds a sheet: the basis' rule, else the sheet's own."""
    rule = case.ground.basis.layers.friction_share
    return case.sheet.interaction if rule is None else rule


def sheet_strength_n_m(case: Reinforced) -> float:
    """Long-term strength of the sheet; without the maker's factors the basis' one for all."""
    sheet = case.sheet
    if sheet.creep is None or sheet.durability is None or sheet.damage is None:
        return long_term_n_m(sheet.ultimate_n_m, case.ground.basis.layers.no_data_factor)
    return long_term_n_m(sheet.ultimate_n_m, sheet.creep, sheet.durability, sheet.damage)


def shortest_of(case: Reinforced, elevation_m: float) -> float:
    """Length of a layer that leaves the basis' anchorage beyond the failure plane."""
    return shortest_length_m(case.ground.basis.layers.anchorage_m, *_plane(case, elevation_m))


def _plane(case: Reinforced, elevation_m: float) -> tuple[float, float]:
    """Where the failure plane passes a layer: the depth of units before which it counts, 0 from
    the face, and the distance from there. Raises PressureLimitError."""
    soils = case.ground.soils
    if case.filled.plumb:
        return 0.0, fhwa_plane_distance_m(elevation_m, soils.fill_friction_rad)
    plane = case.filled.failure_plane_rad
    depth = case.ground.system.standard.depth_m
    return depth, plane_distance_m(elevation_m, plane, case.filled.batter_rad)


def hold(case: Reinforced, elevation_m: float) -> tuple[float, float]:
    """Length of a layer beyond the failure plane, below 0 where it ends before it, and what the
    soil holds of it there, load above left out. Raises PressureLimitError.

    The back slope begins where the leaning back of the units meets the back grade, so much
    farther back than the units are at the layer.
    """
    anchorage = anchorage_m(case.length_m, *_plane(case, elevation_m))
    ground, rules = case.ground, case.ground.basis.layers
    cover = case.section.soil_m - elevation_m
    ends = case.behind_m - cover * math.tan(case.filled.batter_rad)
    depth = cover + _raised_m(case, ends - anchorage, ends)
    weight, friction = ground.soils.fill_weight_n_m3, ground.soils.fill_friction_rad
    share = _hold_share(case) or 0.0
    if case.filled.highway:
        factor = share * math.tan(friction)
        return anchorage, fhwa_pullout_n_m(factor, rules.scale, depth * weight, anchorage)
    return anchorage, pullout_n_m(depth, weight, anchorage, share, friction)


def _raised_m(case: Reinforced, from_m: float, to_m: float) -> float:
    """How high the ground lies over back grade on average between two places behind where it
    begins; in front of that not at all."""
    surface, begins, grade = case.filled.surface, case.filled.grade_m, case.section.soil_m
    if to_m <= from_m:
        return level_at(surface, begins + max(0.0, to_m)) - grade
    area = area_under(surface, begins + max(0.0, from_m), begins + max(0.0, to_m), grade)
    return area / (to_m - from_m)


def _connection(case: Reinforced) -> Connection | None:
    system = case.ground.system.id
    return next((c for c in case.sheet.connections if c.wall_system == system), None)


def _connection_n_m(case: Reinforced, elevation_m: float) -> float:
    joint = _connection(case)
    if joint is None:
        return 0.0
    course = case.ground.system.standard.height_m
    above = case.section.courses - nearest_joint(elevation_m, course)
    weight = case.ground.stack(above).hinged_weight_n_m
    return connection_n_m(joint.strength_n_m, joint.friction_rad, joint.most_n_m, weight)
