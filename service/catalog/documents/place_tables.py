"""Tables of `jurisdictions/<id>.toml` beside its cautions, each with its source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated

from pydantic import Field, field_validator

from service.catalog.documents.entry import Source, SourcedTable
from service.catalog.documents.ratio import RunPerRiseText
from service.core.job.handling import Constants, Handling
from service.core.job.lifting import Lift
from service.core.job.presumptive import BearingValue, LateralValues, Presumptive
from service.core.job.soil import ExcavationClass, SoilGroup
from service.fields import (
    NonNegativeAngle,
    NonNegativeLength,
    PlainText,
    PositiveLength,
    Pressure,
    RatioText,
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


class LiftingTable(SourcedTable):
    """The lift by which units are weighed against the revised lifting equation."""

    constants: Constants = Field("us", description="The unit set of the equation's constants.")
    reach: NonNegativeLength = Field(description="Level from the ankles to the hands.")
    hands: NonNegativeLength = Field(description="Height of the hands over the floor.")
    travel: NonNegativeLength = Field(description="How far up or down.")
    twist: NonNegativeAngle = Field(description="Of the body.")
    frequency: RatioText = Field(description="Multiplier of how often and how long.")
    coupling: RatioText = Field(description="Multiplier of how well a unit can be held.")

    def to_core(self) -> Handling:
        """The core's lift."""
        lift = Lift(
            reach_m=self.reach,
            hands_m=self.hands,
            travel_m=self.travel,
            twist_rad=self.twist,
            frequency=float(self.frequency),
            coupling=float(self.coupling),
        )
        return Handling(lift=lift, constants=self.constants)


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
