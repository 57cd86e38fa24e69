"""What a place asks for: cautions as data, each with its figure and its source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, get_args

from service.core.closed_list import row_each
from service.core.job.handling import DustControl, DustTool, Handling
from service.core.job.presumptive import Presumptive
from service.core.job.soil import ExcavationClass
from service.core.job.terms import ContractRules
from service.core.measure import Dimension

Severity = Literal["high", "medium", "low"]
HeightFrom = Literal["pad_bottom", "lowest_unit", "front_grade"]
Trigger = Literal[
    "always",
    "exposed_height",
    "wall_height",
    "permit_height",
    "drop_at_edge",
    "unbalanced_fill",
    "unbalanced_fill_loaded",
    "trench_depth",
    "open_cut",
    "soil_moved",
    "unit_weight",
    "lifting_index",
    "pallets_too_heavy",
    "course_count",
    "tiers",
    "combined_height",
    "classed_cut_depth",
    "cut_not_sloped",
    "drop_at_walkway",
    "load_or_slope_above",
    "engineer_load",
    "load_not_stated",
    "building_near",
    "fence_near",
    "machine_near",
    "old_wall_near",
    "pool_near",
    "septic_near",
    "back_slope",
    "front_slope",
    "dust",
    "radius_below_minimum",
    "plan_too_tight",
    "sharp_corner",
    "end_against_structure",
    "exposed_end",
    "raised_side",
    "base_step_near_end",
    "ground_not_measured",
    "ground_left_standing",
    "pad_on_fill",
    "topsoil_not_stated",
    "trench_open_too_long",
    "soil_not_stated",
    "soil_unsuitable",
    "pad_without_fabric",
    "class_a_soil",
    "frost_month",
    "wet_month",
    "two_rule_books",
    "outlet_not_stated",
    "outlet_through_face",
    "outlet_around_end",
    "outlet_daylight",
    "outlet_storm_drain",
    "outlet_pit",
    "outlet_none",
    "pipe_below_outlet",
    "outlet_fall",
    "downspouts_above",
    "seen_standing_water",
    "seen_wet_ground",
    "seen_runoff",
    "seen_washout",
    "line_distance",
    "line_within_height",
    "easement",
    "private_lines",
    "power_lines",
    "tree_distance",
    "street_used",
    "seen_crack",
    "seen_lean",
    "seen_spring",
    "seen_slide",
    "seen_fill",
    "seen_rock",
    "seen_stumps",
    "seen_old_wall",
    "not_screened",
    "screened",
    "gravity_fails",
    "reinforcement_fails",
    "reinforced",
    "layer_cover",
    "tiers_not_independent",
    "overall_slope",
    "price_tax_assumed",
    "markup",
    "prices_not_effective",
]
# What a caution can hang on, each with the dimension of its figure. A trigger without a figure
# (None) holds or doesn't; its value is then 1 or 0, and `limit` is left out.
TRIGGERS: tuple[Trigger, ...] = get_args(Trigger)
TriggerDimension = Dimension | Literal["slope", "angle", "ratio"]
TRIGGER_DIMENSION: Mapping[Trigger, TriggerDimension | None] = row_each(
    TRIGGERS,
    {
        "always": None,
        "exposed_height": "length",
        "wall_height": "length",
        "permit_height": "length",
        "drop_at_edge": "length",
        "unbalanced_fill": "length",
        "unbalanced_fill_loaded": "length",
        "trench_depth": "length",
        "open_cut": "length",
        "soil_moved": "volume",
        "unit_weight": "mass",
        "lifting_index": "ratio",
        "pallets_too_heavy": None,
        "course_count": "ratio",
        "tiers": None,
        "combined_height": "length",
        "classed_cut_depth": "length",
        "cut_not_sloped": None,
        "drop_at_walkway": "length",
        "load_or_slope_above": None,
        "engineer_load": "pressure",
        "load_not_stated": None,
        "building_near": "length",
        "fence_near": "length",
        "machine_near": "length",
        "old_wall_near": "length",
        "pool_near": "length",
        "septic_near": "length",
        "back_slope": "slope",
        "front_slope": "slope",
        "dust": None,
        "radius_below_minimum": None,
        "plan_too_tight": None,
        "sharp_corner": "angle",
        "end_against_structure": None,
        "exposed_end": None,
        "raised_side": "length",
        "base_step_near_end": "length",
        "ground_not_measured": None,
        "ground_left_standing": "length",
        "pad_on_fill": None,
        "topsoil_not_stated": None,
        "trench_open_too_long": None,
        "soil_not_stated": None,
        "soil_unsuitable": None,
        "pad_without_fabric": None,
        "class_a_soil": None,
        "frost_month": None,
        "wet_month": None,
        "two_rule_books": None,
        "outlet_not_stated": None,
        "outlet_through_face": None,
        "outlet_around_end": None,
        "outlet_daylight": None,
        "outlet_storm_drain": None,
        "outlet_pit": None,
        "outlet_none": None,
        "pipe_below_outlet": "length",
        "outlet_fall": "slope",
        "downspouts_above": None,
        "seen_standing_water": None,
        "seen_wet_ground": None,
        "seen_runoff": None,
        "seen_washout": None,
        "line_distance": "length",
        "line_within_height": None,
        "easement": None,
        "private_lines": None,
        "power_lines": None,
        "tree_distance": "length",
        "street_used": None,
        "seen_crack": None,
        "seen_lean": None,
        "seen_spring": None,
        "seen_slide": None,
        "seen_fill": None,
        "seen_rock": None,
        "seen_stumps": None,
        "seen_old_wall": None,
        "not_screened": None,
        "screened": None,
        "gravity_fails": None,
        "reinforcement_fails": None,
        "reinforced": None,
        "layer_cover": None,
        "tiers_not_independent": None,
        "overall_slope": None,
        "price_tax_assumed": None,
        "markup": "ratio",
        "prices_not_effective": None,
    },
)
# Triggers whose figure gives the caution when it is small.
UNDER_TRIGGERS: tuple[Trigger, ...] = (
    "sharp_corner",
    "base_step_near_end",
    "outlet_fall",
    "line_distance",
    "tree_distance",
    "building_near",
    "fence_near",
    "machine_near",
    "old_wall_near",
    "pool_near",
    "septic_near",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionRule:
    """One caution and when it is given.

    `over` and `at_least` are limits in SI (m, kg, Pa, rise over run, rad); without either the
    trigger only has to hold. The figures of UNDER_TRIGGERS are the nearest distances, the
    sharpest angle between faces and the flattest fall, given when **below** `under`.
    Figures in `text` that hang on units are marked (service/core/cautions/stated.py).
    A `general` rule is a word for every job; `replaces` names rules that a rule speaks for where
    it holds. `asks_design`: the place asks for an engineer's design there.
    """

    code: str
    trigger: Trigger
    severity: Severity
    text: str
    source: str
    over: float | None = None
    at_least: float | None = None
    under: float | None = None
    general: bool = False
    replaces: tuple[str, ...] = ()
    asks_design: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class EarthRules:
    """What a place says of digging and grading.

    `cut_slopes` are the steepest slopes of a cut, run over rise, by soil class; the class has a
    say where a cut is `deep_cut_m` deep or deeper. `disturbed_class` is the best class of ground
    that was dug or filled before. `grade_within_m` is how far from a wall's plan line its finished
    ground may look for existing ground.
    """

    cut_slopes: Mapping[ExcavationClass, float]
    deep_cut_m: float
    disturbed_class: ExcavationClass
    grade_within_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Jurisdiction:
    """The rules of one place, those of the place that it is based on included.

    `height_from` is where the height of a wall is measured from that asks for a permit;
    `slope_over` the slope, rise over run, over which ground above a wall counts as one.
    `add_tiers_within`: walls one above the other count as one height where their offset is less
    than so many heights of the taller one (math.inf: always; None: never). `guard_reach_m`: how
    near the top people must walk for a guard to be asked for. `spoil_back_m`: how far what is dug
    stays from a cut. `dust`: what holds it down, by tool. Months count from 1.
    """

    id: str
    version: str
    title: str
    cautions: tuple[CautionRule, ...]
    earth: EarthRules
    height_from: HeightFrom = "pad_bottom"
    slope_over: float = 0.0
    add_tiers_within: float | None = None
    guard_reach_m: float | None = None
    spoil_back_m: float | None = None
    dust: Mapping[DustTool, DustControl] = field(default_factory=lambda: MappingProxyType({}))
    handling: Handling | None = None
    presumptive: Presumptive | None = None
    frost_months: tuple[int, ...] = ()
    wet_months: tuple[int, ...] = ()
    contract: ContractRules | None = None

    def least_over(self, trigger: Trigger) -> float:
        """The lowest figure over which a caution hangs on a trigger; math.inf without one."""
        limits = (rule.over for rule in self.cautions if rule.trigger == trigger)
        return min((limit for limit in limits if limit is not None), default=math.inf)
