"""What a comparison answers: figures side by side. Fields stand as they print."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from service.operations.answer_figures import Area, Digest, Hours, Length, Mass, Money, Ratio


class WallFigures(Struct, frozen=True):
    """One wall of an option; `built_top` is the level of its highest top as built, a rod reading
    where the request's levels are; `courses` are its levels, `most_courses` those above each other
    at one place (rule 4.6)."""

    wall: str
    courses: int
    most_courses: int
    max_exposed_height: Length
    max_wall_height: Length
    built_top: Length
    standard_units: int
    corner_units: int
    cap_units: int


class Figures(Struct, frozen=True):
    """What is set side by side; `difference` is this total less that of the quote compared with.
    `cautions` are codes; those behind `gained` and `lost` are crossed on the way here."""

    walls: tuple[WallFigures, ...]
    face_area: Area
    delivered_mass: Mass
    labor_hours: Hours | None
    crew_days: str | None
    direct_cost: Money
    subtotal: Money
    total: Money
    difference: Money
    margin: Ratio | None
    complete: bool
    cautions: tuple[str, ...]
    cautions_gained: tuple[str, ...]
    cautions_lost: tuple[str, ...]


class FaultAnswer(Struct, frozen=True):
    """Why an option can't be quoted; `pointer` is that of the quote request."""

    pointer: str
    message: str
    code: str
    hint: str | None


class OptionAnswer(Struct, frozen=True):
    """One option: its figures, or the faults that stand against it."""

    wall_system: str
    section: str
    figures: Figures | None
    faults: tuple[FaultAnswer, ...]


class FitAnswer(Struct, frozen=True):
    """A height that fits: how much higher all tops of the wall stand (`change`), by elevations and
    by a rod alike, and the quote with it."""

    change: Length
    courses: int
    most_courses: int
    max_exposed_height: Length
    built_top: Length
    max_wall_height: Length
    passes: bool | None
    figures: Figures


class SameAnswer(Struct, frozen=True):
    """The least and the most finished height that the same courses carry, rounded inward to
    1/4 in (5 mm); null where no such mark lies between or the wall can't be built so."""

    least: FitAnswer | None
    most: FitAnswer | None


class HeightsAnswer(Struct, frozen=True):
    """The next heights of one wall that take a course less and a course more; null where the
    wall can't be built so. `passes` is whether no check of the wall fails; null where none could
    be made. All tops are shifted alike, the front grade stays."""

    wall: str
    courses: int
    most_courses: int
    max_exposed_height: Length
    passes: bool | None
    below: FitAnswer | None
    above: FitAnswer | None
    same: SameAnswer


class ComparisonAnswer(Struct, frozen=True):
    """The quote compared with, the alternatives in the order of the request, and the heights."""

    engine_version: str
    catalog_version: Digest
    levels_are: Literal["elevation", "rod"]
    currency: str
    quote: OptionAnswer
    alternatives: tuple[OptionAnswer, ...]
    heights_that_fit: tuple[HeightsAnswer, ...]
