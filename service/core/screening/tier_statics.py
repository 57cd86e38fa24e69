"""Do two walls, one above and behind the other, load each other: m and rad.

`offset_m` is the level distance between their faces, `upper_m` and `lower_m` their heights. The
slope as a whole is not looked at here, and always has to be. Source: FHWA-NHI-10-024 §6.2.1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Relation = Literal["one_wall", "between", "independent"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TierLengths:
    """Shortest reinforcement of the two walls, from the face of each."""

    upper_m: float
    lower_m: float


def independent_offset_share(friction_rad: float) -> float:
    """Offset over the lower wall's height beyond which the upper one does not load it inside.

    tan(90° − φ), φ of the lower wall's soil; math.inf without friction.
    """
    return 1 / math.tan(friction_rad) if friction_rad > 0 else math.inf


def acts_as_one(offset_m: float, upper_m: float, lower_m: float, share: float = 1 / 20) -> bool:
    """Whether two walls are so near that they are one wall of both heights.

    Offset of at most `share` of the two heights together; FHWA's is 1/20.
    """
    return offset_m <= (upper_m + lower_m) * share


def relation(offset_m: float, upper_m: float, lower_m: float, friction_rad: float) -> Relation:
    """How two walls stand to each other, from the nearest to the farthest."""
    if acts_as_one(offset_m, upper_m, lower_m):
        return "one_wall"
    if offset_m > independent_offset_share(friction_rad) * lower_m:
        return "independent"
    return "between"


def tier_lengths_m(
    upper_m: float, lower_m: float, *, upper_share: float, lower_share: float
) -> TierLengths:
    """Shortest reinforcement of two walls that stand between one wall and two apart.

    Upper: its share of its own height; lower: its share of both heights together (FHWA: 0.7 and
    0.6).
    """
    return TierLengths(upper_m=upper_share * upper_m, lower_m=lower_share * (upper_m + lower_m))
