"""Areas that are graded beside the walls, as they are given: grid, survey, average depth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.core.job.spec import Station
from service.core.job.survey_points import Survey

WallSide = Literal["front", "behind"]


Rows = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelGrid:
    """Levels at the crossings of a square or oblong grid, row by row, in meters. `finished_m` is
    such a grid or one level; rows lie `row_spacing_m` apart, columns `column_spacing_m`."""

    row_spacing_m: float
    column_spacing_m: float
    existing_m: Rows
    finished_m: Rows | float


@dataclass(frozen=True, slots=True, kw_only=True)
class Coordinates:
    """A place of the survey's own grid, in meters."""

    northing_m: float
    easting_m: float


SurveyPlace = str | Coordinates  # a point's number, or where it lies


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedPlane:
    """A finished level at a place (None: anywhere), falling by `fall` (drop over run) toward an
    azimuth (clockwise from north)."""

    level_m: float
    place: SurveyPlace | None = None
    fall: float = 0.0
    azimuth_rad: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyedArea:
    """Survey points as the ground, a finished plane, and the boundary of the area."""

    survey: Survey
    boundary: tuple[SurveyPlace, ...]
    finished: FinishedPlane


@dataclass(frozen=True, slots=True, kw_only=True)
class AverageDepth:
    """An area with an average depth of cut or of fill."""

    area_m2: float
    depth_m: float
    work: Literal["cut", "fill"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """Where an area lies beside a wall: between two stations, beginning `from_m` from the plan
    line on one side."""

    wall: str
    side: WallSide
    from_station: Station
    to_station: Station
    from_m: float


GradedGround = LevelGrid | SurveyedArea | AverageDepth


@dataclass(frozen=True, slots=True, kw_only=True)
class Grading:
    """One area to grade. `beside` None: it lies clear of the walls' own earthwork."""

    name: str
    ground: GradedGround
    beside: Beside | None = None
