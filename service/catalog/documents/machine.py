"""Machines and trucks of production rates, and the way on which things are carried."""

from __future__ import annotations

from decimal import Decimal
from types import MappingProxyType
from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.entry import SourcedTable
from service.core.fraction import Fraction
from service.core.job import machine as core
from service.core.job.machine import Truck
from service.core.job.soil import SoilKind
from service.fields import (
    FractionText,
    Id,
    Mass,
    NonNegativeDecimalText,
    NonNegativeLength,
    PositiveDecimalText,
    PositiveLength,
    PositiveVolume,
    ShareText,
    ShortText,
    StrictModel,
    refused,
)

HOURS_OF_A_DAY = 24
Passes = Annotated[int, Field(ge=1, le=20)]
WeekDays = Annotated[int, Field(ge=2, le=7)]


class OwnedTable(StrictModel):
    """A machine of one's own: paid by what it works, by the days for which it is there, or both."""

    item: Id | None = Field(
        None, description="What the price list calls an hour of it (or a day, or a load)."
    )
    day: Id | None = Field(
        None,
        validate_default=True,
        description="What it calls a day for which it is there, beside `item` or in its place.",
    )

    @field_validator("day")
    @classmethod
    def _paid_once(cls, value: str | None, info: ValidationInfo) -> str | None:
        """A machine has at least one price, and no item is two of them."""
        if "item" not in info.data:
            return value
        if value is None and info.data["item"] is None:
            raise refused(
                "machine-cost-unclear",
                "is needed where there is no `item`",
                "item, day, or both",
            )
        if value is not None and value == info.data["item"]:
            raise refused(
                "machine-cost-unclear",
                f"is {value}, and so is `item`: one price can't pay for both",
                "an item of its own for the day",
            )
        return value

    def to_core(self) -> core.Owned:
        """The core's costs."""
        return core.Owned(item=self.item, day_item=self.day)


class HiredTable(StrictModel):
    """A machine hired from the first to the last day of need: the cheapest mix of weeks and
    days."""

    day: Id = Field(description="What the price list calls a day of it.")
    week: Id | None = Field(None, description="What the price list calls a week, priced each.")
    week_days: WeekDays = Field(5, description="Days of need that a week covers.")
    idle_days: NonNegativeDecimalText = Field(
        Decimal(0), description="Days on which it is idle between uses."
    )

    @field_validator("idle_days")
    @classmethod
    def _idle_in_bounds(cls, value: Decimal) -> Decimal:
        """No machine stands about for years."""
        if value > core.MOST_IDLE_DAYS:
            raise refused("out-of-range", f"is more than {core.MOST_IDLE_DAYS}")
        return value

    def to_core(self) -> core.Hired:
        """The core's costs."""
        return core.Hired(
            day_item=self.day,
            week_item=self.week,
            week_days=self.week_days,
            idle_days=self.idle_days,
        )


class CompactionTable(SourcedTable):
    """What a machine compacts, and how fast."""

    layers: dict[SoilKind, PositiveLength] = Field(
        min_length=1,
        max_length=3,
        description="Thickest layer, as it lies compacted, by kind of soil; others it can't.",
    )
    width: PositiveLength = Field(description="Of one pass.")
    travel_per_minute: PositiveLength = Field(description="Distance in a minute.")
    passes: Passes = Field(description="Over each layer.")
    efficiency: FractionText = Field(description="Part of an hour that is worked.")

    @field_validator("efficiency")
    @classmethod
    def _works_at_all(cls, value: Fraction) -> Fraction:
        """A machine that never works compacts nothing."""
        if not value:
            raise refused("out-of-range", "must be more than 0")
        return value

    def to_core(self) -> core.Compaction:
        """The core's compaction."""
        return core.Compaction(
            layers_m=MappingProxyType(dict(self.layers)),
            width_m=self.width,
            travel_m_per_minute=self.travel_per_minute,
            passes=self.passes,
            efficiency=self.efficiency,
        )


class MachineTable(SourcedTable):
    """One machine, owned or hired."""

    title: ShortText
    width: PositiveLength | None = Field(
        None, description="Left out: it stays outside, or people carry it."
    )
    width_drawn_in: PositiveLength | None = Field(
        None, description="Its width in a passage, with tracks that draw in."
    )
    clearance: NonNegativeLength = Field(
        core.DEFAULT_CLEARANCE_M,
        description="What it needs beside its width in a passage: 6 in where the driver sits.",
    )
    weight: Mass | None = Field(None, description="Ready to work.")
    rated_load: Mass | None = Field(None, description="What it may lift or carry.")
    operator: Id | None = Field(None, description="The crew whose people run it.")
    hours_per_day: PositiveDecimalText = Decimal(8)
    delivery: Id | None = Field(None, description="Item for bringing it, once.")
    pick_up: Id | None = Field(None, description="Item for fetching it, once.")
    fuel: Id | None = Field(None, description="Item for the fuel of an hour.")
    compaction: CompactionTable | None = None
    owned: OwnedTable | None = None
    hired: HiredTable | None = Field(None, validate_default=True)

    @field_validator("width_drawn_in")
    @classmethod
    def _drawn_in_is_narrower(cls, value: float | None, info: ValidationInfo) -> float | None:
        """Tracks that draw in make a machine narrower."""
        if value is None or "width" not in info.data:
            return value
        width: float | None = info.data["width"]
        if width is None or value >= width:
            raise refused("out-of-range", "must be less than `width`, that of its work")
        return value

    @field_validator("hours_per_day")
    @classmethod
    def _day_has_24_hours(cls, value: Decimal) -> Decimal:
        """No day has more than 24 hours."""
        if value > HOURS_OF_A_DAY:
            raise refused("out-of-range", "is more than 24")
        return value

    @field_validator("hired")
    @classmethod
    def _one_cost(cls, value: HiredTable | None, info: ValidationInfo) -> HiredTable | None:
        """A machine is either owned or hired."""
        if "owned" in info.data and (value is None) == (info.data["owned"] is None):
            raise refused(
                "machine-cost-unclear",
                "needs either an [owned] or a [hired] table, and not both",
                "[machines.<id>.owned] with item or day, or [machines.<id>.hired] with day",
            )
        return value

    def to_core(self, machine_id: str) -> core.Machine:
        """The core's machine."""
        cost = self.owned or self.hired
        return core.Machine(
            id=machine_id,
            title=self.title,
            cost=cost.to_core() if cost else core.Owned(item=machine_id),
            hours_per_day=self.hours_per_day,
            width_m=self.width,
            width_drawn_in_m=self.width_drawn_in,
            clearance_m=self.clearance,
            weight_kg=self.weight,
            rated_load_kg=self.rated_load,
            operator=self.operator,
            delivery_item=self.delivery,
            pick_up_item=self.pick_up,
            fuel_item=self.fuel,
            compaction=self.compaction.to_core() if self.compaction else None,
        )


class TruckTable(SourcedTable):
    """A truck that hauls soil off and in: a load is never over either figure."""

    title: ShortText
    volume: PositiveVolume = Field(description="Loose.")
    payload: Mass

    def to_core(self) -> Truck:
        """The core's truck."""
        return Truck(volume_m3=self.volume, payload_kg=self.payload)


class CarryingTable(SourcedTable):
    """What the way from the truck to the wall counts as."""

    included: NonNegativeLength = Field(
        0.0, description="Part of the way that the hours of other tasks include."
    )
    per_rise: ShareText = Field(
        Decimal(0), description="How many times its length level way a rise or fall counts as."
    )
    per_step: NonNegativeLength = Field(
        0.0, description="Level way that a step of stairs counts as."
    )

    def to_core(self) -> core.Carrying:
        """The core's way."""
        return core.Carrying(
            included_m=self.included, per_rise=self.per_rise, per_step_m=self.per_step
        )


class HandStripTable(SourcedTable):
    """The strip behind the units that is compacted by hand."""

    width: PositiveLength

    def to_core(self) -> core.HandStrip:
        """The core's strip."""
        return core.HandStrip(width_m=self.width)


class FillBehindTable(SourcedTable):
    """Fill behind a wall that comes up with its courses."""

    reach: PositiveLength = Field(
        description="How far behind the plan line a machine places it; what lies beyond is graded "
        "later."
    )
