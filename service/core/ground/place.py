"""Places on a survey's own grid: by point number or by coordinates."""

from __future__ import annotations

from collections.abc import Mapping

from service.core.errors import Fault, Path, QuoteFaultsError
from service.core.job.graded import Coordinates, SurveyPlace
from service.core.job.survey_points import EastingNorthing


def find_place(
    place: SurveyPlace, known: Mapping[str, EastingNorthing], at: Path
) -> EastingNorthing:
    """Where a place lies; `known` holds the survey's points by number.

    Raises QuoteFaultsError (`survey-point-unknown`) at `at`.
    """
    if isinstance(place, Coordinates):
        return place.easting_m, place.northing_m
    if place in known:
        return known[place]
    raise QuoteFaultsError(
        [
            Fault(
                code="survey-point-unknown",
                at=at,
                message=f"the survey has no point {place}",
                hint="the number of a point of the survey, or its northing and easting",
            )
        ]
    )
