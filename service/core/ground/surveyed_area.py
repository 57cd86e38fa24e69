"""A surveyed area: points as the ground, a finished plane, the boundary of what is graded."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from service.core.ground.place import find_place
from service.core.ground.prism import PrismGround, depth_of_cut
from service.core.job.fact import Assumption
from service.core.job.graded import Coordinates, FinishedPlane, SurveyedArea
from service.core.job.survey_points import EastingNorthing, Survey
from service.core.measure import UnitSet

if TYPE_CHECKING:
    from service.core.ground.surface import GroundPiece, Surface


def measure_survey(area: SurveyedArea, units: UnitSet) -> PrismGround:
    """Prisms between the ground and the finished plane, inside the boundary.

    Raises QuoteFaultsError with paths that start at the grading entry: `survey-point-unknown`,
    `boundary-…`, `survey-points-outside`.
    """
    # They bring the geometry library, a tenth of a second: paid where a survey is graded, not at
    # every start.
    from service.core.ground.boundary import lay_out_boundary  # noqa: PLC0415
    from service.core.ground.surface import triangulate  # noqa: PLC0415

    at, places = ("survey", "boundary"), area.survey.places
    boundary = lay_out_boundary(area.boundary, places, at)
    plane = _Plane(area.finished, places)
    surface = triangulate(_depths(area, plane), boundary, at)
    return PrismGround(
        prisms=surface.prisms,
        area_m2=surface.covered_m2,
        highest_finished_m=max(plane.level_m(place) for place in boundary),
        how=tuple(_how(area.survey, surface, units)),
        assumptions=(
            Assumption(
                field="survey.points",
                value="no breaklines",
                why="ground is taken as plane between neighboring points; a ditch or the edge of "
                "a bank shows as far as points were measured along it",
            ),
        ),
    )


def pieces_of_survey(area: SurveyedArea) -> Iterator[GroundPiece]:
    """The ground as it was added up, piece by piece. Raises as `measure_survey`."""
    from service.core.ground.boundary import lay_out_boundary  # noqa: PLC0415
    from service.core.ground.surface import pieces_of  # noqa: PLC0415

    places = area.survey.places
    boundary = lay_out_boundary(area.boundary, places, ("survey", "boundary"))
    return pieces_of(_depths(area, _Plane(area.finished, places)), boundary)


def _depths(area: SurveyedArea, plane: _Plane) -> list[tuple[EastingNorthing, float]]:
    """Every point with its depth of cut."""
    return [
        (place, depth_of_cut(point.elevation_m, plane.level_m(place)))
        for point, place in zip(area.survey.points, area.survey.places.values(), strict=True)
    ]


class _Plane:
    """The finished plane, its place found. Raises QuoteFaultsError (`survey-point-unknown`)."""

    def __init__(self, finished: FinishedPlane, places: Mapping[str, EastingNorthing]) -> None:
        place = finished.place or Coordinates(northing_m=0.0, easting_m=0.0)
        self._from = find_place(place, places, ("survey", "finished_plane", "at"))
        self._level_m, self._fall = finished.level_m, finished.fall
        self._toward = math.sin(finished.azimuth_rad), math.cos(finished.azimuth_rad)

    def level_m(self, place: EastingNorthing) -> float:
        """The level at a place."""
        if not self._fall:
            return self._level_m
        east, north = place[0] - self._from[0], place[1] - self._from[1]
        return self._level_m - self._fall * (east * self._toward[0] + north * self._toward[1])


def _how(survey: Survey, surface: Surface, units: UnitSet) -> Iterator[str]:
    words = (
        f"{len(survey.points)} survey points read as {', '.join(survey.columns)} in {survey.unit}"
    )
    if survey.header is not None:
        words += f', below the header "{survey.header[:80]}"'
    if survey.comments:
        words += f"; comment lines left out: {survey.comments}"
    yield words
    yield (
        f"{surface.triangles} triangles between neighboring points, {surface.divided} of them "
        "divided by the boundary, all divided along the line of no cut"
    )
    yield (
        f"covered: {units.show(surface.covered_m2, 'area')} of "
        f"{units.show(surface.area_m2, 'area')} inside the boundary"
    )
