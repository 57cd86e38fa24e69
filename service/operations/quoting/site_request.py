"""Water and site as a request writes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, assert_never, get_args

from pydantic import (
    AfterValidator,
    Discriminator,
    Field,
    Tag,
    ValidatorFunctionWrapHandler,
    WithJsonSchema,
    WrapValidator,
)
from pydantic_core import PydanticCustomError

from service.core.job.graded import WallSide
from service.core.job.site import (
    KeptSurface,
    Outlet,
    PrivateLine,
    Site,
    SiteSeen,
    Tree,
    Water,
    WaterSeen,
)
from service.fields import (
    JsonObject,
    Length,
    ListOf,
    Measured,
    NonNegativeLength,
    PositiveLength,
    Reader,
    ShortText,
    StrictModel,
    refused,
)
from service.fields.measured import SlopeText
from service.operations.ruled import RuledModel
from service.units import found

MOST_TREES = 50
MOST_KEPT = 20
MOST_DOWNSPOUTS = 100
MOST_WORDS = 20

_DROP = Measured("length")
_SLOPE = SlopeText()
_SIDE = "On which side of the walls it stands."


@dataclass(frozen=True, slots=True)
class Fall:
    """The fall of a run: a drop in meters, or a slope (drop over run)."""

    what: Literal["drop", "slope"]
    value: float


@dataclass(frozen=True, slots=True)
class FallText(Reader):
    """How much lower the outlet lies than the pipe: a length, or a slope along the run."""

    def read(self, value: object) -> Fall:
        """The fall; only a length may be negative."""
        if not _is_slope(value):
            return Fall("drop", _DROP.read(value))
        slope = _SLOPE.read(value)
        if slope < 0:
            message = "a fall along the run must not be negative"
            hint = 'an outlet that lies higher is given as a length, such as "-3 in"'
            raise refused("measurement-out-of-range", message, hint)
        return Fall("slope", slope)

    def write(self, value: Fall) -> str:
        """The fall as it is read again."""
        match value.what:
            case "drop":
                return _DROP.write(value.value)
            case "slope":
                return _SLOPE.write(value.value)
            case _:
                assert_never(value.what)

    def schema(self) -> JsonObject:
        """Either form."""
        return {
            "anyOf": [*_DROP.schema()["anyOf"], _SLOPE.schema()],
            "description": (
                "How much lower the outlet lies than the pipe at the wall: a length (negative "
                "where it lies higher), or the slope of the run."
            ),
            "examples": ["6 in", "2 %"],
        }


def _is_slope(value: object) -> bool:
    """Whether someone who wrote this meant a slope: a length has none of these."""
    return isinstance(value, str) and (
        value == "level" or ":" in value or value.rstrip().endswith(("%", "deg"))
    )


@dataclass(frozen=True, slots=True)
class SaidElsewhere:
    """Validator of words that were seen: one of the other list is told where it is read."""

    words: tuple[str, ...]
    place: str

    def __call__(self, value: object, handler: ValidatorFunctionWrapHandler) -> object:
        """The word; `unknown-choice` with its place for one that is read elsewhere."""
        if isinstance(value, str) and value in self.words:
            message = f'"{value}" is not read here'
            raise refused("unknown-choice", message, f'"{self.place}": {{"seen": ["{value}"]}}')
        return handler(value)


SeenOfWater = Annotated[WaterSeen, WrapValidator(SaidElsewhere(get_args(SiteSeen), "site"))]
SeenOnSite = Annotated[SiteSeen, WrapValidator(SaidElsewhere(get_args(WaterSeen), "water"))]


class WaterRequest(RuledModel):
    """Where the drain's water goes, and what was seen of water."""

    outlet: Outlet | None = Field(None, description="How the drain pipe lets its water go.")
    run: PositiveLength | None = Field(None, description="Length of the outlet run.")
    fall: Annotated[Fall, FallText()] | None = None
    outlet_level: Length | None = Field(
        None, description="Level of the outlet, over the datum of the walls; in place of fall."
    )
    downspouts_above: int = Field(
        0, ge=0, le=MOST_DOWNSPOUTS, description="Downspouts that end above the wall."
    )
    seen: tuple[SeenOfWater, ...] = Field((), strict=False, max_length=MOST_WORDS)

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """The outlet's height is given once."""
        if document.get("fall") is not None and document.get("outlet_level") is not None:
            message = "both fall and outlet_level say how high the outlet lies"
            yield refused("outlet-height-twice", message, "one of them", at=("outlet_level",))

    def to_core(self, *, rod: bool) -> Water:
        """The core's water; with a rod a larger reading of `outlet_level` is lower."""
        drop, fall = self._fall()
        level = self.outlet_level
        return Water(
            outlet=self.outlet,
            run_m=self.run,
            drop_m=drop,
            fall=fall,
            outlet_level_m=-level if rod and level is not None else level,
            downspouts_above=self.downspouts_above,
            seen=tuple(dict.fromkeys(self.seen)),
        )

    def _fall(self) -> tuple[float | None, float | None]:
        """Drop and slope of the run, as far as they follow from what is given."""
        if self.fall is None:
            return None, None
        value = self.fall.value
        match self.fall.what:
            case "drop":
                return value, value / self.run if self.run else None
            case "slope":
                return (value * self.run if self.run else None), value
            case _:
                assert_never(self.fall.what)


class TreeRequest(StrictModel):
    """A tree that is to stay."""

    distance: NonNegativeLength = Field(description="From the plan line to the trunk.")
    trunk: PositiveLength | None = Field(None, description="Diameter of the trunk.")
    side: WallSide = Field("behind", description=_SIDE)

    def to_core(self) -> Tree:
        """The core's tree."""
        return Tree(distance_m=self.distance, trunk_m=self.trunk, side=self.side)


class KeptSurfaceRequest(StrictModel):
    """A surface that stays as it is, such as paving or a lawn."""

    what: ShortText
    distance: NonNegativeLength = Field(description="From the plan line to where it begins.")
    side: WallSide = Field("behind", description=_SIDE)

    def to_core(self) -> KeptSurface:
        """The core's surface."""
        return KeptSurface(what=self.what, distance_m=self.distance, side=self.side)


_LINES_HINT = 'true or a distance, such as "25 ft", or no key'


def _there(value: bool) -> bool:
    """Lines that were seen, at no distance; without any the key is left out."""
    if not value:
        message = "lines that aren't there are not stated"
        raise refused("unknown-choice", message, _LINES_HINT)
    return value


def _near(value: object, handler: ValidatorFunctionWrapHandler) -> object:
    """A distance; a word, such as "near", is told that `true` says it."""
    if isinstance(value, str) and not any(map(str.isdigit, value)):
        message = f"power_lines: {found(value)} is neither true nor a distance"
        raise refused("unknown-choice", message, _LINES_HINT)
    return handler(value)


NearLength = Annotated[NonNegativeLength, WrapValidator(_near)]
Said = Annotated[bool, AfterValidator(_there), WithJsonSchema({"const": True, "type": "boolean"})]
PowerLines = Annotated[
    Annotated[Said, Tag("said")] | Annotated[NearLength, Tag("measured")],
    Discriminator(lambda value: "said" if isinstance(value, bool) else "measured"),
]


class SiteRequest(StrictModel):
    """What was found on the site."""

    distance_to_line: NonNegativeLength | None = Field(
        None, description="From the property line to the wall nearest to it."
    )
    line_side: WallSide = Field("behind", description=_SIDE)
    easement: bool = False
    private_lines: tuple[PrivateLine, ...] = Field(
        (),
        strict=False,
        max_length=MOST_WORDS,
        description="Lines in the ground that no one-call center marks.",
    )
    trees: ListOf[TreeRequest] = Field((), strict=False, max_length=MOST_TREES)
    to_keep: ListOf[KeptSurfaceRequest] = Field((), strict=False, max_length=MOST_KEPT)
    power_lines: PowerLines | None = Field(
        None, description="Overhead lines: how far from the work, or true."
    )
    street_used: bool = Field(False, description="For deliveries, machines or stored material.")
    seen: tuple[SeenOnSite, ...] = Field((), strict=False, max_length=MOST_WORDS)

    def to_core(self) -> Site:
        """The core's site."""
        return Site(
            line_distance_m=self.distance_to_line,
            line_side=self.line_side,
            easement=self.easement,
            private_lines=tuple(dict.fromkeys(self.private_lines)),
            trees=tuple(tree.to_core() for tree in self.trees),
            to_keep=tuple(surface.to_core() for surface in self.to_keep),
            power_lines=self.power_lines is not None,
            power_line_m=None if isinstance(self.power_lines, bool) else self.power_lines,
            street_used=self.street_used,
            seen=tuple(dict.fromkeys(self.seen)),
        )
