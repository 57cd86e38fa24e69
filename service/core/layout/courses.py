"""What a laid out wall is made of: courses, runs, legs, steps of the base, caps."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """The part of a run between corners: its face, the units counted for it, and how many of them
    are cut at its ends. `covers_m` is what corner units cover of its face at its start and at its
    end; below 0 it runs on behind the other leg."""

    from_station_m: float
    to_station_m: float
    face_length_m: float
    standard_units: int
    corner_units: int
    cuts: int
    covers_m: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of stations where a course is present."""

    from_station_m: float
    to_station_m: float
    legs: tuple[Leg, ...]

    @property
    def face_length_m(self) -> float:
        """Face length of the run."""
        return sum(leg.face_length_m for leg in self.legs)

    @property
    def standard_units(self) -> int:
        """Standard units of the run."""
        return sum(leg.standard_units for leg in self.legs)

    @property
    def corner_units(self) -> int:
        """Corner units of the run."""
        return sum(leg.corner_units for leg in self.legs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One row of units. `joint` is its lower joint over the datum, `offset_m` how far its face
    lies behind the plan line, `elevation_m` its underside."""

    number: int
    joint: int
    offset_m: float
    elevation_m: float
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseStep:
    """A step of the base: `courses` > 0 is up in the direction of travel."""

    station_m: float
    courses: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CapLeg:
    """The part of a cap run between corners: its capped length and the caps counted for it."""

    from_station_m: float
    to_station_m: float
    length_m: float
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CapRun:
    """A stretch with one top joint: its legs, with returns included where the top steps down."""

    from_station_m: float
    to_station_m: float
    joint: int
    legs: tuple[CapLeg, ...]

    @property
    def length_m(self) -> float:
        """Capped length."""
        return math.fsum(leg.length_m for leg in self.legs)

    @property
    def units(self) -> int:
        """Caps of the run."""
        return sum(leg.units for leg in self.legs)
