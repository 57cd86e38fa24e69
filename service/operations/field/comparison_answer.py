"""What the field is answered to a comparison: figures side by side, no sum among them."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from service.operations.answer_figures import Area, Digest, Hours, Length, Mass
from service.operations.quoting.comparison_answer import FaultAnswer, WallFigures


class FieldFigures(Struct, frozen=True):
    """What is set side by side, as in `Figures`."""

    walls: tuple[WallFigures, ...]
    face_area: Area
    delivered_mass: Mass
    labor_hours: Hours | None
    crew_days: str | None
    cautions: tuple[str, ...]
    cautions_gained: tuple[str, ...]
    cautions_lost: tuple[str, ...]


class FieldOptionAnswer(Struct, frozen=True):
    """One option: its figures, or the faults that stand against it."""

    wall_system: str
    section: str
    figures: FieldFigures | None
    faults: tuple[FaultAnswer, ...]


class FieldFitAnswer(Struct, frozen=True):
    """A height that fits, as in `FitAnswer`."""

    change: Length
    courses: int
    most_courses: int
    max_exposed_height: Length
    built_top: Length
    max_wall_height: Length
    passes: bool | None
    figures: FieldFigures


class FieldSameAnswer(Struct, frozen=True):
    """The least and the most height of the same courses, as in `SameAnswer`."""

    least: FieldFitAnswer | None
    most: FieldFitAnswer | None


class FieldHeightsAnswer(Struct, frozen=True):
    """The next heights of one wall, as in `HeightsAnswer`."""

    wall: str
    courses: int
    most_courses: int
    max_exposed_height: Length
    passes: bool | None
    below: FieldFitAnswer | None
    above: FieldFitAnswer | None
    same: FieldSameAnswer


class FieldComparisonAnswer(Struct, frozen=True):
    """The quote compared with, the alternatives in the order of the request, and the heights; no
    prices, rates or terms."""

    engine_version: str
    catalog_version: Digest
    levels_are: Literal["elevation", "rod"]
    quote: FieldOptionAnswer
    alternatives: tuple[FieldOptionAnswer, ...]
    heights_that_fit: tuple[FieldHeightsAnswer, ...]
