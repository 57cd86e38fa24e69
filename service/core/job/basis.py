"""The rule book of a screening: what each check must reach, and how layers are laid out.

One basis per quote: safety factors (loads and resistances as they are, the ratio over a figure)
or load and resistance factors (both factored, the ratio over 1) are never mixed in one check.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from service.core.job.factors import Factors

BasisId = Literal["association", "fhwa"]
CheckName = Literal[
    "base_sliding",
    "overturning",
    "eccentricity",
    "bearing",
    "interface_shear",
    "hinge_height",
    "layer_tension",
    "pullout",
    "connection",
    "tier_independence",
    "overall_slope",
    "water_pressure",
]
CHECKS: tuple[CheckName, ...] = get_args(CheckName)


@dataclass(frozen=True, slots=True, kw_only=True)
class Required:
    """The figure a check must reach (or not exceed), as written, and who says so."""

    value: float
    text: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadFactors(Factors):
    """Factors of the mass, and resistance factors of a layer: its own strength, and its hold in
    the soil. All 1 where safety factors are required."""

    tension: float = 1.0
    pullout: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerRules:
    """How layers are laid out. Shares are of the wall height, lengths from the face of the units.

    `spacing_depths` and `top_depths` are in unit depths; `top_most_m` is how far the uppermost
    layer may lie under the top of the courses (the lesser of both), None: as any spacing.
    `first_most_m` is how far the lowest may lie over the base, beside a unit's depth; `cover_m` the
    fill over a layer before tracked machines drive there; None: the basis says nothing of it.
    `no_data_factor` takes the place of reduction factors that the maker doesn't give.
    `friction_share` turns tan(friction) into the sheet's friction where that is a rule of the
    basis, None: the sheet's own `interaction`; `scale` is the scale factor that goes with it.
    `soil_between_m` lies between two sheets over each other at a corner or along a curve.
    """

    shortest_share: float
    shortest_share_sloping: float
    shortest_m: float
    anchorage_m: float
    spacing_m: float
    spacing_depths: float
    length_step_m: float
    longest_share: float
    no_data_factor: float
    top_depths: float | None = None
    top_most_m: float | None = None
    first_most_m: float | None = None
    cover_m: float | None = None
    friction_share: float | None = None
    scale: float = 1.0
    soil_between_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TierRules:
    """When two tiers are two walls: an offset of so many heights of the taller one, exposed."""

    independent_share: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideRules:
    """What beside a wall counts: loads that begin nearer than `load_reach` wall heights, in full;
    ground as steep as `steep`, rise over run, as a slope that may move as a whole."""

    load_reach: float
    steep: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """What a crew checks when a part is built: words with their figures marked, `{1/8 in}`."""

    text: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """One rule book. `gravity` and `reinforced` hold what each check must reach; a check that is
    in neither has no figure here. `hinge_over_rad` is the batter from which hinge height counts;
    `wall_friction_share` is wall friction as a share of the soil's where its file gives none.
    Under a batter of `plumb_under_rad` a face counts as plumb; 0 where the method has no such
    rule. `tolerances` is what the finished work is checked against."""

    id: BasisId
    version: str
    title: str
    source: str
    gravity: Mapping[CheckName, Required]
    reinforced: Mapping[CheckName, Required]
    layers: LayerRules
    tiers: TierRules
    beside: BesideRules
    wall_friction_share: float
    hinge_over_rad: float
    plumb_under_rad: float
    factors: LoadFactors = field(default_factory=LoadFactors)
    tolerances: tuple[Tolerance, ...] = ()

    def required(self, check: CheckName, *, reinforced: bool) -> Required | None:
        """What a check must reach; None: this basis has no figure for it."""
        return (self.reinforced if reinforced else self.gravity).get(check)
