"""How heavy a lift one person may make: the revised lifting equation, in m, rad and kg.

Holds for smooth lifts with two hands, standing, on a firm floor, and not for one-handed,
kneeling or cramped work or shoveling, which is much of laying a wall: a flag for two people or a
machine, no more. Source: DHHS (NIOSH) 94-110, rev. 9/2021. The US and the metric constants are
not conversions of each other, and one lift is weighed with one of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

_ROUNDING = 1e-9  # a limit met exactly in inches may be passed by the last digit of its meters


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftConstants:
    """The equation in one unit set: lengths in units of `length_m`, load in units of `load_kg`.

    `reach` is the distance at which nothing is taken off, `knuckle` the height, `travel` the
    shortest distance that counts; `height_share`, `travel_base` and `travel_gain` their slopes;
    at `farthest`, `highest`, `longest` the equation ends.
    """

    length_m: float
    load_kg: float
    load: float
    reach: float
    farthest: float
    knuckle: float
    height_share: float
    highest: float
    travel_base: float
    travel_gain: float
    travel: float
    longest: float


US = LiftConstants(
    length_m=0.0254,
    load_kg=0.45359237,
    load=51,
    reach=10,
    farthest=25,
    knuckle=30,
    height_share=0.0075,
    highest=70,
    travel_base=0.82,
    travel_gain=1.8,
    travel=10,
    longest=70,
)
METRIC = LiftConstants(
    length_m=0.01,
    load_kg=1.0,
    load=23,
    reach=25,
    farthest=63,
    knuckle=75,
    height_share=0.003,
    highest=175,
    travel_base=0.82,
    travel_gain=4.5,
    travel=25,
    longest=175,
)
_TWIST_SHARE_DEG = 0.0032
_MOST_TWIST_DEG = 135


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One lift, at its start or at its end.

    `reach_m` level from the ankles to the hands, `hands_m` their height above the floor,
    `travel_m` up or down, `twist_rad` of the body. `frequency` and `coupling` are the
    multipliers of how often and of how well the load can be held.
    """

    reach_m: float
    hands_m: float
    travel_m: float
    twist_rad: float = 0.0
    frequency: float = 1.0
    coupling: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Multipliers:
    """What each circumstance leaves of the load, 0 to 1."""

    reach: float
    hands: float
    travel: float
    twist: float
    frequency: float
    coupling: float

    @property
    def product(self) -> float:
        """All together."""
        return math.prod(
            (self.reach, self.hands, self.travel, self.twist, self.frequency, self.coupling)
        )


def multipliers(lift: Lift, constants: LiftConstants) -> Multipliers:
    """The six multipliers of a lift; 0 beyond the end of one of them."""
    return Multipliers(
        reach=_reach(lift.reach_m / constants.length_m, constants),
        hands=_hands(lift.hands_m / constants.length_m, constants),
        travel=_travel(lift.travel_m / constants.length_m, constants),
        twist=_twist(math.degrees(lift.twist_rad)),
        frequency=lift.frequency,
        coupling=lift.coupling,
    )


def weight_limit_kg(lift: Lift, constants: LiftConstants) -> float:
    """Recommended most weight of a lift, kg whichever the constants; 0 where none is."""
    return constants.load * constants.load_kg * multipliers(lift, constants).product


def lifting_index(weight_kg: float, limit_kg: float) -> float:
    """Weight over its recommended limit: over 1 asks for two people or a machine; math.inf
    without a limit."""
    return weight_kg / limit_kg if limit_kg > 0 else math.inf


def _reach(reach: float, constants: LiftConstants) -> float:
    if reach > constants.farthest + _ROUNDING:
        return 0.0
    return constants.reach / max(reach, constants.reach)


def _hands(height: float, constants: LiftConstants) -> float:
    if height > constants.highest + _ROUNDING:
        return 0.0
    return 1 - constants.height_share * abs(height - constants.knuckle)


def _travel(travel: float, constants: LiftConstants) -> float:
    if travel > constants.longest + _ROUNDING:
        return 0.0
    return constants.travel_base + constants.travel_gain / max(travel, constants.travel)


def _twist(degrees: float) -> float:
    if degrees > _MOST_TWIST_DEG + _ROUNDING:
        return 0.0
    return 1 - _TWIST_SHARE_DEG * degrees
