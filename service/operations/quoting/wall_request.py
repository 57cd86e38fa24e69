"""A wall as a request writes it, and how it becomes a WallSpec."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.core.job.spec import (
    Corner,
    Curve,
    EndKind,
    Ends,
    LevelFrom,
    PlanPart,
    ProfileEntry,
    Side,
    Station,
    Straight,
    TopRounding,
    WallSpec,
)
from service.core.layout.curve import KNOWN, CurveImpossibleError, curve_from
from service.fields import (
    JsonObject,
    Length,
    Measured,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    Pressure,
    Reader,
    ShortText,
    Slope,
    StrictModel,
    refused,
)
from service.operations.quoting.load_request import MOST_ABOVE, LoadAboveRequest
from service.operations.ruled import RuledModel
from service.units import found

HALF_TURN_RAD = 3.141592653589793
MOST_PARTS = 200
MOST_ENTRIES = 1000
MOST_PAIRS = 100


def _less_than_half_turn(angle_rad: float) -> float:
    """A corner turns by less than half a turn."""
    if angle_rad >= HALF_TURN_RAD:
        message = "a corner turns by less than 180 deg"
        raise refused("angle-out-of-range", message, "the change of direction, such as 90 deg")
    return angle_rad


class StraightPart(StrictModel):
    """A straight stretch of the plan line."""

    kind: Literal["straight"]
    length: PositiveLength

    def to_core(self) -> PlanPart:
        """The core's straight."""
        return Straight(length_m=self.length)


class CurvePart(RuledModel):
    """An arc, tangent to what adjoins it: exactly two of radius, angle, length, chord and rise.

    `angle` is the change of direction, `rise` the middle ordinate. Radius with chord, and length
    with rise, fit two arcs: the flatter one is meant.
    """

    kind: Literal["curve"]
    side: Side = Field(description="`outside` bulges toward someone on the low side.")
    radius: PositiveLength | None = None
    angle: PositiveAngle | None = None
    length: PositiveLength | None = None
    chord: PositiveLength | None = None
    rise: PositiveLength | None = Field(None, validate_default=True)

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Two figures fix an arc, one does not, three may contradict."""
        given = [name for name in KNOWN if name in document]
        if len(given) != 2:  # noqa: PLR2004  an arc has two degrees of freedom
            said = ", ".join(given) if given else "none"
            message = f"a curve needs exactly two of {', '.join(KNOWN)}; given: {said}"
            yield refused("curve-not-fixed", message, "such as radius and angle, or chord and rise")

    @field_validator("rise")
    @classmethod
    def _arc_exists(cls, value: float | None, info: ValidationInfo) -> float | None:
        """The two figures belong to one arc."""
        figures = {**info.data, "rise": value}
        known = {name: figures[name] for name in KNOWN if figures.get(name) is not None}
        if len(known) == 2:  # noqa: PLR2004
            try:
                curve_from("outside", known)
            except CurveImpossibleError as error:
                raise refused("curve-impossible", str(error), "check the two figures") from None
        return value

    def to_core(self) -> Curve:
        """The core's curve."""
        known = {name: getattr(self, name) for name in KNOWN}
        return curve_from(self.side, {k: v for k, v in known.items() if v is not None})


class CornerPart(StrictModel):
    """A corner between two parts; `angle` is the change of direction."""

    kind: Literal["corner"]
    side: Side = Field(description="`outside` points toward someone on the low side.")
    angle: Annotated[PositiveAngle, AfterValidator(_less_than_half_turn)]

    def to_core(self) -> PlanPart:
        """The core's corner."""
        return Corner(side=self.side, angle_rad=self.angle)


AnyPart = Annotated[StraightPart | CurvePart | CornerPart, Field(discriminator="kind")]


@dataclass(frozen=True, slots=True)
class StationText(Reader):
    """A length, `"end"`, or `{"after": 2}` (the end of the second plan part)."""

    def read(self, value: object) -> Station:
        """The station."""
        if value == "end":
            return Station(kind="end")
        if isinstance(value, Mapping) and "after" in value:
            return _after(value)
        return Station(kind="at", at_m=_DISTANCE.read(value))

    def schema(self) -> JsonObject:
        """Any of the three forms."""
        after = {
            "type": "object",
            "properties": {"after": {"type": "integer", "minimum": 1, "maximum": MOST_PARTS}},
            "required": ["after"],
            "additionalProperties": False,
        }
        length = _DISTANCE.schema()
        return {
            "anyOf": [*length["anyOf"], {"const": "end", "type": "string"}, after],
            "description": "Distance along the plan from its start; `end`; or after a plan part.",
            "examples": ["0 ft", "end", {"after": 2}],
        }


def _after(value: Mapping[Any, Any]) -> Station:
    part = value["after"]
    whole = isinstance(part, int) and not isinstance(part, bool)
    if len(value) > 1 or not whole or not 1 <= part <= MOST_PARTS:
        message = f"{found(str(value))} is not a station"
        raise refused("station-invalid", message, 'the number of a plan part, {"after": 2}')
    return Station(kind="after", part=part)


_DISTANCE = Measured("length", "not_negative")
AnyStation = Annotated[Station, StationText()]


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
    existing_section: tuple[GroundPair, ...] | None = Field(
        None,
        strict=False,
        min_length=2,
        max_length=MOST_PAIRS,
        description="Ground before the work, across the wall, in place of grade and slope.",
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """The top is given once."""
        given = [name for name in ("top", "exposed") if name in document]
        if len(given) != 1:
            said = "both are" if given else "neither is"
            message = f"an entry needs either top or exposed; {said} given"
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


@dataclass(frozen=True, slots=True)
class GradedText(Reader):
    """`to_existing`, or a distance from the plan line."""

    def read(self, value: object) -> float | None:
        """The distance in meters; None goes on to existing ground."""
        return None if value == TO_EXISTING else _DISTANCE.read(value)

    def write(self, value: float | None) -> str:
        """The distance as it is read again."""
        return TO_EXISTING if value is None else _DISTANCE.write(value)

    def schema(self) -> JsonObject:
        """Either form."""
        length = _DISTANCE.schema()
        return {
            "anyOf": [*length["anyOf"], {"const": TO_EXISTING, "type": "string"}],
            "description": "A distance from the plan line, or until it meets existing ground.",
            "examples": [TO_EXISTING, "5 ft"],
        }


TO_EXISTING = "to_existing"
Graded = Annotated[float | None, GradedText()]


class EndsRequest(StrictModel):
    """What happens at each end of the wall."""

    start: EndKind = "open"
    finish: EndKind = "open"


class WallRequest(RuledModel):
    """One wall: its plan line, and levels along it."""

    name: ShortText | None = None
    plan: tuple[AnyPart, ...] = Field(
        strict=False,
        min_length=1,
        max_length=MOST_PARTS,
        description="The front face of the lowest course, left to right, seen from the low side.",
    )
    profile: tuple[ProfileEntryRequest, ...] = Field(
        strict=False, min_length=2, max_length=MOST_ENTRIES
    )
    ends: EndsRequest = Field(default_factory=EndsRequest)
    level_from: LevelFrom = "top"
    top_rounding: TopRounding = "up"
    front_slope: Slope = Field(0.0, description="Positive where ground falls away in front.")
    back_slope: Slope = Field(0.0, description="Positive where ground rises behind the wall.")
    surcharge: Pressure = Field(0.0, description="Load on the ground behind; or name it in above.")
    above: tuple[LoadAboveRequest, ...] | None = Field(
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
