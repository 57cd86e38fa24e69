"""Tables of `jurisdictions/<id>.toml` beside its cautions, each with its source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import Annotated

from pydantic import Field, field_validator

from service.catalog.documents.dust import DustRow
from service.catalog.documents.entry import Source, SourcedTable
from service.catalog.documents.ratio import RunPerRiseText
from service.core.job.handling import (
    DUST_TOOLS,
    Constants,
    DustControl,
    DustTool,
    FrequencyRow,
    Handling,
)
from service.core.job.jurisdiction import HeightFrom
from service.core.job.lifting import Lift
from service.core.job.presumptive import BearingValue, LateralValues, Presumptive
from service.core.job.soil import ExcavationClass, SoilGroup
from service.fields import (
    NonNegativeAngle,
    NonNegativeLength,
    PlainText,
    PositiveDecimalText,
    PositiveLength,
    Pressure,
    RatioText,
    Slope,
    StrictModel,
    UnitWeight,
    refused,
)

ALWAYS = "always"
MOST_ROWS = 40

WithinText = Annotated[
    str,
    PlainText(
        "within-invalid",
        'heights of the taller wall, or "always"',
        "^(?:always|[0-9]{1,2}(?:[.][0-9]{1,4})?)$",
        7,
        "2",
    ),
]
Month = Annotated[int, Field(ge=1, le=12)]
Months = Annotated[tuple[Month, ...], Field(strict=False, max_length=12)]
Groups = Annotated[tuple[SoilGroup, ...], Field(strict=False, min_length=1, max_length=20)]


class CutSlopes(SourcedTable):
    """The steepest slope of a cut, by soil class, horizontal:vertical."""

    slope_A: RunPerRiseText  # noqa: N815  the key in the file
    slope_B: RunPerRiseText  # noqa: N815
    slope_C: RunPerRiseText  # noqa: N815

    def to_core(self) -> Mapping[ExcavationClass, float]:
        """Run over rise by soil class."""
        return MappingProxyType({"A": self.slope_A, "B": self.slope_B, "C": self.slope_C})


class SoilClassTable(SourcedTable):
    """When the class of the soil has a say, and which class is left to disturbed ground."""

    deep_cut: PositiveLength = Field(
        description="From this depth on a cut is no steeper than its soil's class allows."
    )
    disturbed: ExcavationClass = Field(
        description="The best class of ground that was dug or filled before."
    )


class GradingTable(SourcedTable):
    """How far a wall's own earthwork goes where nobody says."""

    to_existing_within: PositiveLength = Field(
        description="From the plan line; finished ground that has not met existing ground by then "
        "needs a stated distance."
    )


class PermitTable(SourcedTable):
    """What the place measures where it asks for a permit."""

    height_from: HeightFrom = Field(
        description="The height of a wall is from here to its top as built; the stone pad may "
        "count as the footing or not."
    )
    slope_over: Slope = Field(
        description="Ground above a wall that rises more steeply is a slope above it."
    )


class TiersTable(SourcedTable):
    """When walls one above the other count as one height."""

    add_heights_within: WithinText = Field(
        description="They do where the offset is less than so many heights of the taller wall."
    )

    def to_core(self) -> float:
        """Heights of the lower wall; infinite where they always count together."""
        within = self.add_heights_within
        return math.inf if within == ALWAYS else float(within)


class GuardTable(SourcedTable):
    """Where a drop asks for a guard."""

    reach: NonNegativeLength = Field(description="How near the top of a wall people must walk.")


class SpoilTable(SourcedTable):
    """Where what is dug may lie."""

    keep_back: NonNegativeLength = Field(description="From the edge of the cut, at least.")


class DustTable(SourcedTable):
    """What holds the dust of concrete and stone down, by tool."""

    tools: tuple[DustRow, ...] = Field(strict=False, min_length=1, max_length=len(DUST_TOOLS))

    @field_validator("tools")
    @classmethod
    def _each_tool_once(cls, value: tuple[DustRow, ...]) -> tuple[DustRow, ...]:
        """A tool has one row."""
        if len({row.tool for row in value}) != len(value):
            raise refused("tool-twice", "names a tool twice")
        return value

    def to_core(self) -> Mapping[DustTool, DustControl]:
        """The core's rows."""
        return MappingProxyType({row.tool: row.to_core() for row in self.tools})


class FrequencyRowTable(StrictModel):
    """The multiplier of lifting so often, for more than two hours a day."""

    up_to: PositiveDecimalText = Field(description="Lifts a minute.")
    multiplier: RatioText


class LiftingTable(SourcedTable):
    """The lift by which units are weighed against the revised lifting equation."""

    constants: Constants = Field("us", description="The unit set of the equation's constants.")
    reach: NonNegativeLength = Field(description="Level from the ankles to the hands.")
    hands: NonNegativeLength = Field(description="Height of the hands over the floor.")
    travel: NonNegativeLength = Field(description="How far up or down.")
    twist: NonNegativeAngle = Field(description="Of the body.")
    per_minute: PositiveDecimalText = Field(
        description="Lifts a minute where no rates say how often."
    )
    coupling: RatioText = Field(description="Multiplier of how well a unit can be held.")
    frequency: tuple[FrequencyRowTable, ...] = Field(
        strict=False,
        min_length=1,
        max_length=MOST_ROWS,
        description="Rising; beyond the last row nobody lifts.",
    )

    @field_validator("frequency")
    @classmethod
    def _rows_rise(cls, value: tuple[FrequencyRowTable, ...]) -> tuple[FrequencyRowTable, ...]:
        """Lifts a minute rise from row to row."""
        if any(a.up_to >= b.up_to for a, b in pairwise(value)):
            raise refused("rows-not-rising", "lifts a minute must rise from row to row")
        return value

    def to_core(self) -> Handling:
        """The core's lift."""
        lift = Lift(
            reach_m=self.reach,
            hands_m=self.hands,
            travel_m=self.travel,
            twist_rad=self.twist,
            coupling=float(self.coupling),
        )
        rows = tuple(
            FrequencyRow(per_minute=float(row.up_to), multiplier=float(row.multiplier))
            for row in self.frequency
        )
        return Handling(
            lift=lift,
            frequencies=rows,
            per_minute=float(self.per_minute),
            constants=self.constants,
        )


class SeasonsTable(SourcedTable):
    """Months, counted from 1, in which fill is likely frozen or too wet."""

    frost: Months = ()
    wet: Months = ()

    @field_validator("frost", "wet")
    @classmethod
    def _each_month_once(cls, value: tuple[int, ...]) -> tuple[int, ...]:
        """A month stands once, in the order of the year."""
        if len(frozenset(value)) != len(value):
            raise refused("month-twice", "names a month twice")
        return tuple(sorted(value))

    def on(self, base: SeasonsTable | None) -> SeasonsTable:
        """With the months of another where this names none."""
        if base is None:
            return self
        return self.model_copy(
            update={"frost": self.frost or base.frost, "wet": self.wet or base.wet}
        )


class LateralRow(StrictModel):
    """Lateral pressure of soils of these groups; psf per ft of depth is a weight in pcf."""

    groups: Groups
    active: UnitWeight
    at_rest: UnitWeight
    source: Source

    def to_core(self) -> LateralValues:
        """The core's row, in Pa per m."""
        return LateralValues(
            groups=self.groups,
            active_pa_m=self.active,
            at_rest_pa_m=self.at_rest,
            source=self.source.citation(),
        )


class BearingRow(StrictModel):
    """What ground of these groups is presumed to bear."""

    groups: Groups
    bearing: Pressure
    source: Source

    def to_core(self) -> BearingValue:
        """The core's row, in Pa."""
        return BearingValue(
            groups=self.groups, bearing_pa=self.bearing, source=self.source.citation()
        )


class PresumptiveTable(SourcedTable):
    """Values that the code presumes for untested soil, by group."""

    lateral: tuple[LateralRow, ...] = Field((), strict=False, max_length=MOST_ROWS)
    bearing: tuple[BearingRow, ...] = Field((), strict=False, max_length=MOST_ROWS)
    unsuitable: tuple[SoilGroup, ...] = Field(
        (), strict=False, max_length=20, description="Groups that may not go behind a wall."
    )

    def to_core(self) -> Presumptive:
        """The core's tables."""
        return Presumptive(
            lateral=tuple(row.to_core() for row in self.lateral),
            bearing=tuple(row.to_core() for row in self.bearing),
            unsuitable=self.unsuitable,
        )
