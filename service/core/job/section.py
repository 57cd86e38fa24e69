"""The typical section: the contractor's standard detail."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Literal, get_args

Group = Literal[
    "units",
    "stone",
    "pipe",
    "fabric",
    "adhesive",
    "reinforcement",
    "earth",
    "site_work",
    "labor",
    "equipment",
    "delivery",
    "fees",
    "extras",
]
# The order in which quantities and price lines stand (rule 17).
GROUPS: tuple[Group, ...] = get_args(Group)


RuleBook = Literal["association", "fhwa"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelingPad:
    """The strip of stone under the base course. `overdig_m` thickens it below and behind;
    `friction_angle_rad` is the stone's, for screening; `fabric` is the item that keeps it apart
    from the ground, if one."""

    item: str
    thickness_m: float
    front_extension_m: float
    rear_extension_m: float
    end_extension_m: float = 0.0
    overdig_m: float = 0.0
    friction_angle_rad: float | None = None
    fabric: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Embedment:
    """How deep the wall stands: the larger of `minimum_m` and a share of the exposed height.

    `shares` are (slope in front as rise over run, share), from level to the steepest allowed.
    `basis` is the rule book that the figures are taken from, `association` or `fhwa`, if one.
    """

    minimum_m: float
    shares: tuple[tuple[float, float], ...]
    shortest_base_run_m: float = 0.0
    basis: RuleBook | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drainage:
    """Drainage stone behind the units."""

    item: str
    width_m: float
    starts_at: Literal["pad", "buried_course"]
    stops_below_top_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pipe:
    """Drain pipe along the rear of the base course, with solid outlets."""

    item: str
    outlet_item: str
    outlet_spacing_m: float
    outlet_length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterFabric:
    """Fabric behind the drainage stone, lapped over it at top and bottom."""

    item: str
    lap_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CapAdhesive:
    """Beads of adhesive under the caps; `yield_m` is the bead length of one piece."""

    item: str
    beads: int
    yield_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Excavation:
    """How the cut behind the wall is dug. `working_room_m` lies between stone and slope;
    `cut_slope` is run over rise (0 is vertical), None: by soil class."""

    working_room_m: float
    cut_slope: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One typical section. `waste` is by item group; a group left out is 0. `reinforcement_item`
    is laid where a wall gets layers of it."""

    id: str
    version: str
    title: str
    leveling_pad: LevelingPad
    embedment: Embedment
    drainage: Drainage
    core_fill_item: str | None = None
    pipe: Pipe | None = None
    filter_fabric: FilterFabric | None = None
    cap_adhesive: CapAdhesive | None = None
    waste: Mapping[str, Decimal] = field(default_factory=lambda: MappingProxyType({}))
    excavation: Excavation | None = None
    reinforcement_item: str | None = None
