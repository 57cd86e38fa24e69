"""The input: what the caller wants built. Lengths in meters, levels over one datum, SI throughout.

The plan runs from left to right for someone on the low side who looks at the wall, so the
retained soil lies to the left of travel (rule 1.1).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

TurnSide = Literal["outside", "inside"]
EndKind = Literal["open", "finished", "into_grade", "against_structure"]
LevelFrom = Literal["top", "base"]
TopRounding = Literal["up", "down"]
# What a load is beside its weight: `walkway` is ground that people walk or drive on.
NearWord = Literal["building", "fence", "machine", "old_wall", "pool", "septic", "walkway"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """A straight part of the plan line; `length_m` > 0."""

    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """An arc, tangent to what adjoins it; `angle_rad` is the change of direction."""

    side: TurnSide
    radius_m: float
    angle_rad: float

    @property
    def length_m(self) -> float:
        """Length of the arc."""
        return self.radius_m * self.angle_rad


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A corner; `angle_rad` is the change of direction, 0 < angle < pi."""

    side: TurnSide
    angle_rad: float

    @property
    def length_m(self) -> float:
        """A corner has no length."""
        return 0.0


PlanPart = Straight | Curve | Corner


def curve_from_chord(side: TurnSide, chord_m: float, rise_m: float) -> Curve:
    """The arc that a tape gives: chord and rise (middle ordinate).

    radius = chord²/(8·rise) + rise/2; angle = 4·atan(2·rise/chord). The rise of an arc of more
    than half a circle is larger than half its chord, and comes out right as well.
    """
    radius = chord_m**2 / (8 * rise_m) + rise_m / 2
    return Curve(side=side, radius_m=radius, angle_rad=4 * math.atan2(2 * rise_m, chord_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A place along the plan: at a distance, at the end, or after a part (counted from 1)."""

    kind: Literal["at", "end", "after"]
    at_m: float = 0.0
    part: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileEntry:
    """Levels at one station in meters: requested top, finished ground in front and behind.

    Ground before the work: `existing_grade_m` at the plan line, or `existing_section` as pairs
    of offset (positive toward the soil) and level; without both it was not measured.
    """

    station: Station
    top_m: float
    front_grade_m: float
    back_grade_m: float
    existing_grade_m: float | None = None
    existing_section: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """What happens at each end of the wall."""

    start: EndKind = "open"
    finish: EndKind = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadAbove:
    """Something on the ground behind a wall, as the catalog's loads know it.

    `from_m` is the distance from the face of the wall to where it begins, `slope` rise over run of
    ground that rises from there (0: level). `near` are the words that cautions hang on,
    `engineer` says whether such a load is a case for an engineer.
    """

    what: str
    title: str
    load_pa: float
    from_m: float
    slope: float = 0.0
    near: tuple[NearWord, ...] = ()
    engineer: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSpec:
    """One wall. Slopes are rise over run (a 3:1 slope is 1/3), surcharge is in Pa.

    `above` is what stands on the ground behind; with the surcharge it makes the load
    (service/core/screening/loads.py). `surcharge_stated` tells a surcharge that was given, 0
    included, from one that nobody spoke of. `graded_in_front_m` and `graded_behind_m` say how far
    from the plan line finished ground is carried; None is until it meets existing ground.
    """

    name: str
    plan: tuple[PlanPart, ...]
    profile: tuple[ProfileEntry, ...]
    ends: Ends = field(default_factory=Ends)
    level_from: LevelFrom = "top"
    top_rounding: TopRounding = "up"
    front_slope: float = 0.0
    back_slope: float = 0.0
    surcharge_pa: float = 0.0
    surcharge_stated: bool = False
    above: tuple[LoadAbove, ...] = ()
    existing_slope: float = 0.0
    graded_in_front_m: float | None = None
    graded_behind_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """A lower and an upper wall by name; `offset_m` from face to face at the base."""

    lower: str
    upper: str
    offset_m: float
