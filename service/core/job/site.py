"""What is known of water and site around the walls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.core.job.graded import WallSide


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """Where the drain pipe's water goes. `run_m` is the length of the outlet run, `drop_m` how
    much lower its end lies (negative: higher), `fall` the same as drop over run, `outlet_level_m`
    its level over the walls' datum. What isn't known is None, and nothing is said about it."""

    outlet: Outlet | None = None
    run_m: float | None = None
    drop_m: float | None = None
    fall: float | None = None
    outlet_level_m: float | None = None
    downspouts_above: int = 0
    seen: tuple[WaterSeen, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What was found around the walls; `line_distance_m` is from the property line to the wall
    that is nearest to it, `power_line_m` from overhead lines to the nearest work (None: nobody
    said how far). Distances go from the plan line toward the soil, or where `side` says so to the
    front. `to_keep` are surfaces that stay as they are."""

    line_distance_m: float | None = None
    line_side: WallSide = "behind"
    easement: bool = False
    power_lines: bool = False
    power_line_m: float | None = None
    private_lines: tuple[PrivateLine, ...] = ()
    trees: tuple[Tree, ...] = ()
    to_keep: tuple[KeptSurface, ...] = ()
    street_used: bool = False
    seen: tuple[SiteSeen, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """A tree that stays: its distance from the plan line, and its trunk's diameter."""

    distance_m: float
    trunk_m: float | None = None
    side: WallSide = "behind"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSurface:
    """A surface that stays as it is, such as paving: where it begins from the plan line."""

    what: str
    distance_m: float
    side: WallSide = "behind"


Outlet = Literal["through_face", "around_end", "daylight", "storm_drain", "pit", "none"]


WaterSeen = Literal["standing_water", "wet_ground", "runoff", "washout"]


SiteSeen = Literal["crack", "lean", "spring", "slide", "fill", "rock", "stumps", "old_wall"]
Seen = Literal[WaterSeen, SiteSeen]


PrivateLine = Literal[
    "irrigation",
    "lighting",
    "power",
    "data",
    "gas",
    "water",
    "sewer",
    "septic",
    "drain",
    "pet_fence",
    "other",
]
