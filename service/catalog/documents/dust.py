"""Dust of concrete and stone: the tools of a task, and what a place asks for by tool."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from service.core.job.handling import DUST_TOOLS, DustControl, DustTool
from service.fields import NonNegativeDecimalText, ShortText, StrictModel, refused

DustTools = Annotated[
    tuple[DustTool, ...],
    Field(
        strict=False,
        max_length=len(DUST_TOOLS),
        description="Tools that cut or break concrete or stone.",
    ),
]


class DustRow(StrictModel):
    """What a place asks for with one tool."""

    tool: DustTool
    control: ShortText = Field(description="How dust is kept down, in your own words.")
    respirator_over: NonNegativeDecimalText | None = Field(
        None, description="Hours of it in a shift beyond which one is worn."
    )
    protection: Annotated[int, Field(ge=1, le=10000)] | None = Field(
        None, description="Assigned protection factor of that respirator."
    )

    @model_validator(mode="after")
    def _respirator_whole(self) -> Self:
        """Hours and protection factor are given together."""
        if (self.respirator_over is None) != (self.protection is None):
            message = "respirator_over and protection are given together, or neither"
            raise refused("respirator-unclear", message)
        return self

    def to_core(self) -> DustControl:
        """The core's row."""
        return DustControl(
            control=self.control.rstrip("."),
            respirator_over_h=self.respirator_over,
            protection=self.protection,
        )
