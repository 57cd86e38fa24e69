"""A figure of production rates: one decimal, or low, likely and high."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator

from service.core.fraction import Fraction
from service.core.three_point import ThreePoint, one_figure
from service.fields import PositiveDecimalText, StrictModel, refused


class RangeTable(StrictModel):
    """A figure that nobody knows for sure: expected (low + 4 x likely + high) / 6, deviation
    (high - low) / 6."""

    low: PositiveDecimalText = Field(description="When all goes well.")
    likely: PositiveDecimalText
    high: PositiveDecimalText = Field(description="When little goes well.")

    @field_validator("likely", "high")
    @classmethod
    def _in_order(cls, value: Decimal, info: ValidationInfo) -> Decimal:
        """Low is never above likely, likely never above high."""
        below = "low" if info.field_name == "likely" else "likely"
        least = info.data.get(below)
        if least is not None and value < least:
            raise refused("range-falls", f"{value:f} is less than {below}, {least:f}")
        return value


def _shape(value: object) -> str:
    """A table, or else text: a bare number is told to be text."""
    return "object" if isinstance(value, (Mapping, RangeTable)) else "text"


OneOrRange = Annotated[
    Annotated[PositiveDecimalText, Tag("text")] | Annotated[RangeTable, Tag("object")],
    Discriminator(_shape),
]


def three_point(figure: Decimal | RangeTable) -> ThreePoint:
    """The core's figure."""
    if isinstance(figure, Decimal):
        return one_figure(figure)
    return ThreePoint(
        low=Fraction(figure.low), likely=Fraction(figure.likely), high=Fraction(figure.high)
    )
