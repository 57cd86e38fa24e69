"""Reinforcement: sheets laid on course joints behind the units, held by the units in front.

What the catalog knows of a sheet, and where the layers of a wall lie. A layout of layers is a
preliminary one, made to be priced: a licensed engineer designs what is built.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Polymer = Literal["polyester", "polypropylene", "polyethylene"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Connection:
    """Strength of the joint between sheet and units: `strength_n_m` + tan(`friction_rad`) x the
    weight on it (N per m of wall), never over `most_n_m`. From tests on one unit with one sheet."""

    wall_system: str
    strength_n_m: float
    friction_rad: float
    most_n_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A reinforcement as its maker states it: N per m of width, m, bare factors.

    `creep`, `durability` and `damage` divide the ultimate strength; None: the maker gives none,
    and `no_data` of the basis takes their place. `interaction` is the share of the soil's
    friction that holds the sheet (None: not stated). The strong direction runs along the roll.
    `polymer` is what it is made of, and takes part in no check.
    """

    ultimate_n_m: float
    roll_width_m: float
    roll_length_m: float
    creep: float | None = None
    durability: float | None = None
    damage: float | None = None
    interaction: float | None = None
    polymer: Polymer | None = None
    connections: tuple[Connection, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer over a stretch of stations, on the joint under the course `joint` (the upper face
    of the course below). `length_m` is measured from the face of the units, into the soil."""

    from_m: float
    to_m: float
    joint: int
    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WallReinforcement:
    """Layers of one wall, from the lowest joint up, then by station; one item throughout.
    `soil_between_m` lies between sheets that overlap."""

    wall: str
    item: str
    layers: tuple[Layer, ...]
    soil_between_m: float

    @property
    def reach_m(self) -> float:
        """Longest layer, from the face into the soil; 0 without layers."""
        return max((layer.length_m for layer in self.layers), default=0.0)
