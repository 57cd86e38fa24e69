"""A graded area as a request writes it, and how it becomes the core's Grading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.core.job.fact import Assumption
from service.core.job.graded import AverageDepth, Beside, GradedGround, Grading, LevelGrid, WallSide
from service.core.job.spec import Station
from service.fields import (
    Length,
    ListOf,
    NonNegativeLength,
    PositiveArea,
    PositiveLength,
    ShortText,
    refused,
)
from service.operations.quoting.station_request import AnyStation
from service.operations.quoting.survey_request import SurveyRequest, finish_rules
from service.operations.ruled import RuledModel

MOST_AREAS = 50
MOST_LINES = 100  # rows and columns of a grid

Levels = Annotated[tuple[Length, ...], Field(strict=False, min_length=2, max_length=MOST_LINES)]
LevelRows = Annotated[ListOf[Levels], Field(strict=False, min_length=2, max_length=MOST_LINES)]


class GridRequest(RuledModel):
    """Existing and finished levels at the crossings of a grid, row by row."""

    spacing: PositiveLength = Field(description="Between columns, and between rows.")
    row_spacing: PositiveLength | None = Field(None, description="Between rows, if another.")
    existing: LevelRows
    finished: LevelRows | None = None
    finished_level: Length | None = Field(None, description="One level all over.")

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Finished ground is given once."""
        yield from finish_rules(document, ("finished", "finished_level"))

    def to_core(self, *, rod: bool) -> LevelGrid:
        """The core's grid."""
        sense = -1.0 if rod else 1.0

        def turned(rows: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
            return tuple(tuple(sense * level for level in row) for row in rows)

        level = sense * (self.finished_level or 0.0)
        return LevelGrid(
            row_spacing_m=self.row_spacing or self.spacing,
            column_spacing_m=self.spacing,
            existing_m=turned(self.existing),
            finished_m=level if self.finished is None else turned(self.finished),
        )


class GradingRequest(RuledModel):
    """An area to grade: a grid of levels, survey points, or an area with an average depth; and
    beside which wall it lies, if it lies beside one."""

    name: ShortText | None = None
    grid: GridRequest | None = None
    survey: SurveyRequest | None = None
    area: PositiveArea | None = None
    average_depth: PositiveLength | None = Field(None, description="Goes with area.")
    work: Literal["cut", "fill"] | None = Field(None, description="Goes with area.")
    wall: ShortText | None = Field(None, description="The name of a wall of this request.")
    side: WallSide | None = Field(None, description="Of the wall.")
    from_station: AnyStation | None = Field(None, description="Left out: the wall's start.")
    to_station: AnyStation | None = Field(None, description="Left out: the wall's end.")
    from_: NonNegativeLength | None = Field(
        None, alias="from", description="How far from the wall's plan line the area begins."
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """The area is given in one way, and its place beside a wall in full or not at all."""
        ways = ("grid", "survey", "area")
        given = [name for name in ways if document.get(name) is not None]
        if len(given) != 1:
            message = f"an area needs exactly one of {', '.join(ways)}; {len(given)} are given"
            yield refused("grading-unclear", message, "such as area with average_depth and work")
        yield from _together(document, "area", ("average_depth", "work"))
        yield from _together(document, "wall", ("side", "from"), ("from_station", "to_station"))

    def to_core(self, name: str, *, rod: bool) -> Grading:
        """The core's grading."""
        return Grading(name=name, ground=self._ground(rod=rod), beside=self._beside())

    def assumptions(self, index: int) -> Iterator[Assumption]:
        """Defaults that this area left to the service; `index` is its place in the request."""
        at = f"/grading/{index}"
        if self.wall is None:
            why = "no wall is named: the area lies clear of the walls' own earthwork"
            yield Assumption(field=f"{at}/wall", value="none", why=why)
            return
        for key, value in (("from_station", "0"), ("to_station", "end")):
            if getattr(self, key) is None:
                yield Assumption(
                    field=f"{at}/{key}", value=value, why="the area runs along the whole wall"
                )

    def _ground(self, *, rod: bool) -> GradedGround:
        if self.grid is not None:
            return self.grid.to_core(rod=rod)
        if self.survey is not None:
            return self.survey.to_core(rod=rod)
        return AverageDepth(
            area_m2=self.area or 0.0,
            depth_m=self.average_depth or 0.0,
            work=self.work or "cut",
        )

    def _beside(self) -> Beside | None:
        if self.wall is None:
            return None
        return Beside(
            wall=self.wall,
            side=self.side or "front",
            from_station=self.from_station or Station(kind="at"),
            to_station=self.to_station or Station(kind="end"),
            from_m=self.from_ or 0.0,
        )


def _together(
    document: Mapping[str, Any],
    key: str,
    needed: tuple[str, ...],
    allowed: tuple[str, ...] = (),
) -> Iterator[PydanticCustomError]:
    """Some keys are needed with another one, and say nothing without it."""
    there = document.get(key) is not None
    for name in needed if there else ():
        if document.get(name) is None:
            message = f"is required with {key}"
            yield refused("field-missing", message, "leave neither out", at=(name,))
    for name in () if there else (*needed, *allowed):
        if document.get(name) is not None:
            message = f"says nothing without {key}"
            yield refused("grading-unclear", message, f"give {key}, or leave it out", at=(name,))


def default_area_name(index: int) -> str:
    """What an area without a name is called."""
    return f"area-{index + 1}"
