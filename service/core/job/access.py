"""The way to the walls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """The way to the wall. `narrowest_m` is its narrowest passage, `distance_m` its length from
    where the truck drops, `rise_m` how far it climbs or falls, `stairs` the steps on it.

    `load_limit_kg` is what its weakest part carries (a bridge, a vault, a paved yard), `protect`
    the surface that must be covered, `protect_m2` how much of it. None: nobody said. With
    `crane_truck` pallets are set down where they are used.
    """

    distance_m: float = 0.0
    narrowest_m: float | None = None
    rise_m: float = 0.0
    stairs: int = 0
    drop: Drop | None = None
    crane_truck: bool = False
    load_limit_kg: float | None = None
    protect: str | None = None
    protect_m2: float = 0.0


Drop = Literal["beside_wall", "yard", "driveway", "street"]
