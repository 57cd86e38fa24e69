"""A wall as a request writes it, and how it becomes a WallSpec."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.core.job.spec import (
    EndKind,
    Ends,
    LevelFrom,
    ProfileEntry,
    TopRounding,
    WallSpec,
)
from service.fields import (
    Length,
    ListOf,
    NonNegativeLength,
    Pressure,
    ShortText,
    Slope,
    StrictModel,
    refused,
)
from service.operations.quoting.load_request import MOST_ABOVE, LoadAboveRequest
from service.operations.quoting.plan_request import MOST_PARTS, AnyPart
from service.operations.quoting.station_request import AnyStation, Graded
from service.operations.ruled import RuledModel

MOST_ENTRIES = 1000
MOST_PAIRS = 100


class GroundPair(StrictModel):
    """Existing ground at an offset from the plan line, positive toward the soil."""

    offset: Length
    elevation: Length


class ProfileEntryRequest(RuledModel):
    """Levels at one station: `top`, or `exposed` above the front grade."""

    station: AnyStation
    top: Length | None = Field(None, description="Level of the finished top.")
    exposed: NonNegativeLength | None = Field(None, description="Top less front grade.")
    front_grade: Length = Field(description="Finished ground in front of the wall.")
    back_grade: Length | None = Field(
        None, description="Finished ground behind the wall; left out it is the top."
    )

    existing_grade: Length | None = Field(
        None, description="Ground before the work, at the plan line; left out later it stays."
    )
    existing_section: ListOf[GroundPair] | None = Field(
        None,
        strict=False,
        min_length=2,
        max_length=MOST_PAIRS,
        description="Ground before the work, across the wall, in place of grade and slope.",
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """The top is given once."""
        given = "top" in document
        if given == ("exposed" in document):
            words = "both are" if given else "neither is"
            message = f"an entry needs either top or exposed; {words} given"
            yield refused("top-or-exposed", message, 'such as "top": "4 ft"')

    def to_core(self, *, rod: bool) -> ProfileEntry:
        """The core's entry. With a rod a larger reading is lower; heights stay heights."""
        sense = -1.0 if rod else 1.0
        front = sense * self.front_grade
        top = front + self.exposed if self.exposed is not None else sense * (self.top or 0.0)
        back = top if self.back_grade is None else sense * self.back_grade
        ground = None if self.existing_grade is None else sense * self.existing_grade
        pairs = self.existing_section or ()
        return ProfileEntry(
            station=self.station,
            top_m=top,
            front_grade_m=front,
            back_grade_m=back,
            existing_grade_m=ground,
            existing_section=tuple((pair.offset, sense * pair.elevation) for pair in pairs),
        )


class EndsRequest(StrictModel):
    """What happens at each end of the wall."""

    start: EndKind = "open"
    finish: EndKind = "open"


class WallRequest(RuledModel):
    """One wall: its plan line, and levels along it."""

    name: ShortText | None = None
    plan: ListOf[AnyPart] = Field(
        strict=False,
        min_length=1,
        max_length=MOST_PARTS,
        description="The front face of the lowest course, left to right, seen from the low side.",
    )
    profile: ListOf[ProfileEntryRequest] = Field(
        strict=False, min_length=2, max_length=MOST_ENTRIES
    )
    ends: EndsRequest = Field(default_factory=EndsRequest)
    level_from: LevelFrom = "top"
    top_rounding: TopRounding = "up"
    front_slope: Slope = Field(0.0, description="Positive where ground falls away in front.")
    back_slope: Slope = Field(0.0, description="Positive where ground rises behind the wall.")
    surcharge: Pressure = Field(0.0, description="Load on the ground behind; or name it in above.")
    above: ListOf[LoadAboveRequest] | None = Field(
        None,
        strict=False,
        min_length=1,
        max_length=MOST_ABOVE,
        description="What stands on the ground behind, in words of the catalog's loads; in place "
        "of surcharge. Loads add up; one nearer than twice the wall height counts in full.",
    )
    existing_slope: Slope = Field(
        0.0, description="Of the ground before the work; positive where it rises toward the soil."
    )
    graded_in_front: Graded = Field(
        None, description="How far finished ground is carried: a distance from the plan line."
    )
    graded_behind: Graded = Field(
        None, description="How far finished ground is carried: a distance from the plan line."
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """The load behind a wall is given once: as a figure, or in words."""
        if "surcharge" in document and "above" in document:
            message = "surcharge and above both say what stands behind the wall"
            hint = "one of the two: a figure, or words of the catalog's loads"
            yield refused("surcharge-twice", message, hint, at=("above",))

    def to_core(self, name: str, catalog: Catalog, *, rod: bool) -> WallSpec:
        """The core's wall; what stands above it is looked up in the catalog."""
        return WallSpec(
            name=name,
            plan=tuple(part.to_core() for part in self.plan),
            profile=tuple(entry.to_core(rod=rod) for entry in self.profile),
            ends=Ends(start=self.ends.start, finish=self.ends.finish),
            level_from=self.level_from,
            top_rounding=self.top_rounding,
            front_slope=self.front_slope,
            back_slope=self.back_slope,
            surcharge_pa=self.surcharge,
            surcharge_stated="surcharge" in self.model_fields_set,
            above=tuple(load.to_core(catalog) for load in self.above or ()),
            existing_slope=self.existing_slope,
            graded_in_front_m=self.graded_in_front,
            graded_behind_m=self.graded_behind,
        )
