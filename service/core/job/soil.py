"""A soil: strength, weight in each state, and how its volume changes with state."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

ExcavationClass = Literal["A", "B", "C"]
# What compacts it: granular soil takes a plate, clay a rammer.
SoilKind = Literal["granular", "silt", "clay"]
# How it digs, against firm ground.
Digs = Literal["loose", "firm", "clay", "hard"]
# Of the Unified Soil Classification System (ASTM D2487), and the two mixtures of code tables.
SoilGroup = Literal[
    "GW",
    "GP",
    "GM",
    "GC",
    "SW",
    "SP",
    "SM",
    "SM-SC",
    "SC",
    "ML",
    "ML-CL",
    "CL",
    "OL",
    "MH",
    "CH",
    "OH",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Undug:
    """Strength of ground as it lies, neither dug nor loosened."""

    friction_angle_rad: float
    cohesion_pa: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Soil:
    """Densities in kg/m3; loose = bank x (1 + swell), compacted = bank x (1 - shrink).
    The angle and the cohesion are those of soil as compacted, `undisturbed` those of the ground as
    it lies. `kind` says what compacts it, `digs` how it digs, `group` its class by which codes
    give values; None: nobody said."""

    id: str
    version: str
    title: str
    friction_angle_rad: float
    loose_kg_m3: float
    compacted_kg_m3: float
    swell: Decimal
    shrink: Decimal
    excavation_class: ExcavationClass
    reusable: bool
    wall_friction_rad: float | None = None
    kind: SoilKind | None = None
    digs: Digs | None = None
    group: SoilGroup | None = None
    undisturbed: Undug | None = None
