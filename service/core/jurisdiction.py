"""What a place asks for: cautions as data, each with its figure and its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, get_args

from service.core.measure import Dimension

Severity = Literal["high", "medium", "low"]
Trigger = Literal[
    "always",
    "exposed_height",
    "wall_height",
    "height_from_pad_bottom",
    "trench_depth",
    "unit_weight",
    "surcharge",
    "back_slope",
    "front_slope",
    "cut_units",
    "radius_below_minimum",
    "sharp_corner",
    "end_against_structure",
    "exposed_end",
    "base_step_near_end",
    "ground_not_measured",
    "ground_left_standing",
    "topsoil_not_stated",
    "trench_open_too_long",
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
    "tree_distance",
    "street_used",
    "seen_crack",
    "seen_lean",
    "seen_spring",
    "seen_slide",
    "seen_fill",
    "seen_rock",
    "seen_stumps",
    "not_screened",
    "price_tax_assumed",
    "prices_not_effective",
]
# What a caution can hang on. A trigger without a figure holds or doesn't; its value is then 1 or
# 0, and `limit` is left out.
TRIGGERS: tuple[Trigger, ...] = get_args(Trigger)
TRIGGER_DIMENSION: dict[str, Dimension | Literal["pressure", "slope", "angle"]] = {
    "exposed_height": "length",
    "wall_height": "length",
    "height_from_pad_bottom": "length",
    "trench_depth": "length",
    "ground_left_standing": "length",
    "unit_weight": "mass",
    "surcharge": "pressure",
    "back_slope": "slope",
    "front_slope": "slope",
    "sharp_corner": "angle",
    "base_step_near_end": "length",
    "pipe_below_outlet": "length",
    "outlet_fall": "slope",
    "line_distance": "length",
    "tree_distance": "length",
}
# Triggers whose figure gives the caution when it is small.
UNDER_TRIGGERS: tuple[Trigger, ...] = (
    "sharp_corner",
    "base_step_near_end",
    "outlet_fall",
    "line_distance",
    "tree_distance",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionRule:
    """One caution and when it is given.

    `over` and `at_least` are limits in SI (m, kg, Pa, rise over run, rad); without either the
    trigger only has to hold. The figures of UNDER_TRIGGERS are the nearest distances, the
    sharpest angle between faces and the flattest fall, given when **below** `under`.
    """

    code: str
    trigger: Trigger
    severity: Severity
    text: str
    source: str
    over: float | None = None
    at_least: float | None = None
    under: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Jurisdiction:
    """The rules of one place. `cut_slopes` are the steepest slopes of a deep cut, run over rise,
    by soil class (A, B, C)."""

    id: str
    version: str
    title: str
    cautions: tuple[CautionRule, ...]
    cut_slopes: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A caution as it stands in a quote; `wall` names the wall it is about, if one."""

    code: str
    severity: Severity
    text: str
    source: str
    wall: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A default that the answer rests on."""

    field: str
    value: str
    why: str
