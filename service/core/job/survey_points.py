"""Points of a survey, as they are given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """Points as read, with what was found beside them."""

    points: tuple[SurveyPoint, ...]
    columns: Columns
    unit: str
    header: str | None = None
    comments: int = 0

    @property
    def places(self) -> dict[str, EastingNorthing]:
        """Where each point lies, by its number."""
        return {point.number: (point.easting_m, point.northing_m) for point in self.points}


class SurveyPoint(NamedTuple):
    """A measured point of the ground, in meters; `line` is where it stands in the text."""

    number: str
    northing_m: float
    easting_m: float
    elevation_m: float
    line: int
    description: str = ""


Column = Literal["point", "northing", "easting", "elevation", "description"]
Columns = tuple[Column, ...]  # from left to right, each once


EastingNorthing = tuple[float, float]  # easting, northing in meters
