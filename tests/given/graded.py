"""Small builders for graded areas: grids, surveys as text, boundaries. Figures are in meters."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Sequence

from service.core.ground.grading import GradedArea, measure_grading
from service.core.job.graded import (
    Coordinates,
    FinishedPlane,
    GradedGround,
    Grading,
    LevelGrid,
    Rows,
    SurveyedArea,
    SurveyPlace,
)
from service.core.job.survey_points import Survey
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.measure import METRIC
from service.operations.quoting.survey_text import COLUMNS, read_survey

Shape = Callable[[float, float], float]  # level over easting and northing
SQUARE = ((0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0))  # easting, northing


def graded(ground: GradedGround, topsoil: Topsoil = NO_TOPSOIL) -> GradedArea:
    """The earthwork of one area."""
    return measure_grading(Grading(name="yard", ground=ground), METRIC, topsoil)


def grid(
    existing: Sequence[Sequence[float]],
    finished: Sequence[Sequence[float]] | float = 0.0,
    spacing: float = 10.0,
    row_spacing: float | None = None,
) -> LevelGrid:
    """A grid of levels; the finished ones are 0 by default."""
    rows: Rows = tuple(map(tuple, existing))
    return LevelGrid(
        row_spacing_m=row_spacing or spacing,
        column_spacing_m=spacing,
        existing_m=rows,
        finished_m=finished if isinstance(finished, (int, float)) else tuple(map(tuple, finished)),
    )


def places(*corners: tuple[float, float]) -> tuple[SurveyPlace, ...]:
    """Corners of a boundary from easting and northing."""
    return tuple(Coordinates(easting_m=east, northing_m=north) for east, north in corners)


def survey_of(points: Iterable[tuple[float, float, float]]) -> Survey:
    """A survey of easting, northing and level, numbered from 1."""
    lines = [
        f"{i},{n:.15f},{e:.15f},{z:.15f},ground" for i, (e, n, z) in enumerate(points, start=1)
    ]
    return read_survey("\n".join(lines), COLUMNS, "m")


def scattered(
    shape: Shape, count: int = 200, seed: int = 1, corners: Sequence[tuple[float, float]] = SQUARE
) -> list[tuple[float, float, float]]:
    """Points on a shape, all over a square, its corners among them; the same for the same seed."""
    chance = random.Random(seed)  # noqa: S311  repeatable, no secret
    far = max(east for east, _ in corners)
    inside = [
        (round(chance.uniform(0, far), 3), round(chance.uniform(0, far), 3))
        for _ in range(count - len(corners))
    ]
    return [(e, n, shape(e, n)) for e, n in (*corners, *inside)]


def surveyed(
    points: Iterable[tuple[float, float, float]],
    boundary: Sequence[tuple[float, float]] = SQUARE,
    finished: FinishedPlane | float = 0.0,
) -> SurveyedArea:
    """A surveyed area over a finished level or plane."""
    plane = finished if isinstance(finished, FinishedPlane) else FinishedPlane(level_m=finished)
    return SurveyedArea(survey=survey_of(points), boundary=places(*boundary), finished=plane)


def star(points: int, radius: float, center: float = 10.0) -> list[tuple[float, float]]:
    """A hollow boundary: corners far out and near the center by turns."""
    return [
        (
            center + radius * (1 if k % 2 else 0.4) * math.cos(2 * math.pi * k / points),
            center + radius * (1 if k % 2 else 0.4) * math.sin(2 * math.pi * k / points),
        )
        for k in range(points)
    ]
