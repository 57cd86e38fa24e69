"""The plan line of a wall as a request writes it: straights, curves and corners."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from service.core.job.spec import Corner, Curve, PlanPart, Straight, TurnSide
from service.core.layout.curve import KNOWN, CurveImpossibleError, curve_from
from service.fields import PositiveAngle, PositiveLength, StrictModel, refused
from service.operations.ruled import RuledModel

HALF_TURN_RAD = 3.141592653589793

MOST_PARTS = 200


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
    side: TurnSide = Field(description="`outside` bulges toward someone on the low side.")
    radius: PositiveLength | None = None
    angle: PositiveAngle | None = None
    length: PositiveLength | None = None
    chord: PositiveLength | None = None
    rise: PositiveLength | None = None

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Two figures fix an arc, one does not, three may contradict."""
        given = [name for name in KNOWN if name in document]
        if len(given) != 2:  # noqa: PLR2004  an arc has two degrees of freedom
            words = ", ".join(given) if given else "none"
            message = f"a curve needs exactly two of {', '.join(KNOWN)}; given: {words}"
            yield refused("curve-not-fixed", message, "such as radius and angle, or chord and rise")

    @model_validator(mode="after")
    def _arc_exists(self) -> CurvePart:
        """The two figures belong to one arc."""
        known = self._known()
        if len(known) == 2:  # noqa: PLR2004
            try:
                curve_from(self.side, known)
            except CurveImpossibleError as error:
                raise refused("curve-impossible", str(error), "check the two figures") from None
        return self

    def _known(self) -> dict[str, float]:
        figures = {name: getattr(self, name) for name in KNOWN}
        return {name: value for name, value in figures.items() if value is not None}

    def to_core(self) -> Curve:
        """The core's curve."""
        return curve_from(self.side, self._known())


class CornerPart(StrictModel):
    """A corner between two parts; `angle` is the change of direction."""

    kind: Literal["corner"]
    side: TurnSide = Field(description="`outside` points toward someone on the low side.")
    angle: Annotated[PositiveAngle, AfterValidator(_less_than_half_turn)]

    def to_core(self) -> PlanPart:
        """The core's corner."""
        return Corner(side=self.side, angle_rad=self.angle)


AnyPart = Annotated[StraightPart | CurvePart | CornerPart, Field(discriminator="kind")]
