"""Survey points as a request writes them: text, boundary, finished ground."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag
from pydantic_core import PydanticCustomError

from service.core.errors import QuoteFaultsError
from service.core.job.graded import Coordinates, FinishedPlane, SurveyedArea, SurveyPlace
from service.core.job.survey_points import Column, Columns
from service.fields import (
    JsonObject,
    Length,
    ListOf,
    Measured,
    NonNegativeAngle,
    PlainText,
    Slope,
    StrictModel,
    refused,
)
from service.operations.quoting.survey_text import COLUMNS, NEEDED, read_survey
from service.operations.ruled import RuledModel, own
from service.units import MeasurementInvalidError, found, parse_measure

MOST_CORNERS = 200
LONGEST_SURVEY = 500_000
LARGEST_COORDINATE_M = 1e8
SURVEY_UNITS = ("ft", "m")


class Coordinate(Measured):
    """A northing or easting: a length of either sign, larger than anything that is built."""

    def read(self, value: object) -> float:
        """The coordinate in meters."""
        try:
            si = parse_measure(value, self.dimension)
        except MeasurementInvalidError:
            return super().read(value)  # which says what is wrong with it
        if abs(si) > LARGEST_COORDINATE_M:
            message = f"{found(value)} is over the limit of {LARGEST_COORDINATE_M:.0f} m"
            raise refused("measurement-out-of-range", message)
        return si

    def schema(self) -> JsonObject:
        """Like a length, with other bounds."""
        limit = f"{LARGEST_COORDINATE_M:.0f} m"
        words = f"Northing or easting with its unit; between -{limit} and {limit}."
        return {**super().schema(), "description": words, "examples": ["5012.25 ft", "152.4 m"]}


GridCoordinate = Annotated[float, Coordinate("length")]
PointNumber = Annotated[
    str,
    PlainText(
        "text-invalid",
        "the number of a survey point: letters, digits, point, dash and underscore, at most 32",
        r"^[A-Za-z0-9][A-Za-z0-9_.\-]{0,31}$",
        32,
        "101",
    ),
]
SurveyText = Annotated[
    str,
    PlainText(
        "text-invalid",
        "survey points, one a line, columns parted by commas, tabs or blanks: point number, "
        "northing, easting, elevation and description in the stated order; a description that "
        "stands last runs to the end of the line and may be missing. A line that begins with # is "
        "a comment; one line of column names may stand first",
        r"^[^\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f]+$",
        LONGEST_SURVEY,
        "101,5000.00,1000.00,101.25,ground",
    ),
]


class CoordinatesRequest(StrictModel):
    """A place of the survey's own grid."""

    northing: GridCoordinate
    easting: GridCoordinate

    def to_core(self) -> Coordinates:
        """The core's place."""
        return Coordinates(northing_m=self.northing, easting_m=self.easting)


AnyPlace = Annotated[
    Annotated[PointNumber, Tag("text")] | Annotated[CoordinatesRequest, Tag("object")],
    Discriminator(lambda value: "object" if isinstance(value, Mapping) else "text"),
]


def to_place(place: str | CoordinatesRequest) -> SurveyPlace:
    """The core's place."""
    return place if isinstance(place, str) else place.to_core()


def finish_rules(
    document: Mapping[str, Any], names: tuple[str, str]
) -> Iterator[PydanticCustomError]:
    """Rule: finished ground is given by one of two keys."""
    given = [name for name in names if document.get(name) is not None]
    if len(given) != 1:
        words = "both are" if given else "neither is"
        message = f"finished ground is either {names[0]} or {names[1]}; {words} given"
        yield refused("grading-unclear", message, 'such as "finished_level": "100 ft"')


class PlaneRequest(StrictModel):
    """Finished ground that falls evenly: a level at a place, the fall and where it goes."""

    level: Length
    at: AnyPlace = Field(description="Where the level holds: a point's number, or a place.")
    fall: Slope = Field(description="Positive where ground falls in the direction given.")
    toward: NonNegativeAngle = Field(description="Azimuth of the fall, clockwise from north.")

    def to_core(self, *, rod: bool) -> FinishedPlane:
        """The core's plane."""
        return FinishedPlane(
            level_m=-self.level if rod else self.level,
            place=to_place(self.at),
            fall=self.fall,
            azimuth_rad=self.toward,
        )


class SurveyRequest(RuledModel):
    """Survey points as the ground, finished ground as a level or a plane, and a boundary."""

    points: SurveyText
    columns: Columns = Field(
        strict=False,
        description="What stands in a line, from left to right, each once; the description may be "
        "left out. The order is never guessed from the figures.",
        examples=[list(COLUMNS)],
        json_schema_extra={
            "minItems": len(NEEDED),
            "maxItems": len(COLUMNS),
            "uniqueItems": True,
        },
    )
    units: Literal["ft", "m"] = Field(description="The unit of all figures of the points.")
    boundary: ListOf[AnyPlace] = Field(
        strict=False,
        min_length=3,
        max_length=MOST_CORNERS,
        description="Corners of the area in order: numbers of points, or places.",
    )
    finished_level: Length | None = Field(None, description="One level all over.")
    finished_plane: PlaneRequest | None = None

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Finished ground is given once; points can be read by the columns and unit stated."""
        yield from finish_rules(document, ("finished_level", "finished_plane"))
        text, unit = document.get("points"), document.get("units")
        if not isinstance(text, str) or len(text) > LONGEST_SURVEY or unit not in SURVEY_UNITS:
            return
        columns = document.get("columns")
        if not isinstance(columns, list) or not all(name in COLUMNS for name in columns):
            return
        faults = list(_columns_faults(columns))
        yield from faults or _unreadable(text, tuple(columns), unit)

    def to_core(self, *, rod: bool) -> SurveyedArea:
        """The core's surveyed area."""
        level = FinishedPlane(level_m=(-1.0 if rod else 1.0) * (self.finished_level or 0.0))
        return SurveyedArea(
            survey=read_survey(self.points, self.columns, self.units, rod=rod),
            boundary=tuple(to_place(corner) for corner in self.boundary),
            finished=self.finished_plane.to_core(rod=rod) if self.finished_plane else level,
        )


def _columns_faults(columns: Sequence[Column]) -> Iterator[PydanticCustomError]:
    """Rule: each column stands once, and none that is needed is missing."""
    listed = ", ".join(f'"{name}"' for name in COLUMNS)
    twice = [name for name in COLUMNS if columns.count(name) > 1]
    missing = [name for name in NEEDED if name not in columns]
    for names, what in ((twice, "more than once"), (missing, "not")):
        if names:
            message = f"{' and '.join(names)} {'is' if len(names) == 1 else 'are'} {what} listed"
            yield refused("survey-columns-unclear", message, f"[{listed}]", at=("columns",))


def _unreadable(text: str, columns: Columns, unit: str) -> Iterator[PydanticCustomError]:
    """What is wrong with the lines of a survey."""
    try:
        read_survey(text, columns, unit)
    except QuoteFaultsError as error:
        for fault in error.faults:
            yield own(fault.code, {"message": fault.message, "hint": fault.hint, "at": fault.at})
