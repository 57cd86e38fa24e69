"""What a laid out wall is made of: courses, runs, legs, steps of the base, caps."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """The part of a run between corners: its face, the units counted for it, and how many of them
    are cut at its ends."""

    from_station_m: float
    to_station_m: float
    face_length_m: float
    standard_units: int
    corner_units: int
    cuts: int


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
class CapRun:
    """A stretch with one top joint: its capped length (returns included) and the caps."""

    from_station_m: float
    to_station_m: float
    length_m: float
    units: int
