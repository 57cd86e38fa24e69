"""Crews of production rates, and the circumstances that make their work slower."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Annotated, TypeVar

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from service.catalog.documents.derivation import (
    Bands,
    ByAccessTable,
    ByPlanTable,
    BySeenTable,
    check_bands,
)
from service.catalog.documents.entry import SourcedTable, raise_broken
from service.catalog.documents.wage import Burden
from service.core.job import rates as core
from service.core.job.factor import ByHeight, BySoil, Derivation
from service.core.rounding import worked_share
from service.fields import (
    FactorText,
    Id,
    PositiveDecimalText,
    RatioText,
    ShortText,
    UnitCostText,
    refused,
)

HOURS_OF_A_DAY = 24

CrewSize = Annotated[int, Field(ge=1, le=1000)]
Minutes = Annotated[int, Field(ge=1, le=60)]


class CrewTable(SourcedTable):
    """People who work together."""

    title: ShortText
    item: Id = Field(description="What the price list calls an hour of one of them.")
    size: CrewSize = Field(description="People.")
    paid_hours_per_day: PositiveDecimalText = Field(description="Of one person, at most 24.")
    worked_minutes_per_hour: Minutes | None = Field(
        None, description="Of a paid hour; or worked_share."
    )
    worked_share: RatioText | None = Field(
        None, validate_default=True, description="Part of a paid hour that is worked."
    )
    wage: UnitCostText | None = Field(
        None, description="Of one hour, where the price list has no such item."
    )
    burden: Burden = None

    @field_validator("paid_hours_per_day")
    @classmethod
    def _day_has_24_hours(cls, value: Decimal) -> Decimal:
        """No day pays more than 24 hours."""
        if value > HOURS_OF_A_DAY:
            raise refused("out-of-range", "is more than 24")
        return value

    @field_validator("worked_share")
    @classmethod
    def _worked_once(cls, value: Decimal | None, info: ValidationInfo) -> Decimal | None:
        """The worked part of an hour is stated once."""
        if "worked_minutes_per_hour" not in info.data:
            return value
        if (value is None) == (info.data["worked_minutes_per_hour"] is None):
            raise refused(
                "worked-hour-unclear",
                "needs either worked_share or worked_minutes_per_hour, and not both",
                'such as worked_share = "0.83"',
            )
        if value is not None and not value:
            raise refused("out-of-range", "must be more than 0")
        return value

    def to_core(self, crew_id: str) -> core.Crew:
        """The core's crew."""
        share = worked_share(Decimal(self.worked_minutes_per_hour or 0))
        return core.Crew(
            id=crew_id,
            title=self.title,
            item=self.item,
            size=self.size,
            paid_hours_per_day=self.paid_hours_per_day,
            worked_share=share if self.worked_share is None else self.worked_share,
            wage=self.wage,
            burden=self.burden or Decimal(0),
        )


_Table = TypeVar("_Table", ByAccessTable | None, ByPlanTable | None, BySeenTable | None)


class ConditionTable(SourcedTable):
    """A factor on hours by circumstance."""

    title: ShortText
    choices: dict[Id, FactorText] = Field(min_length=1, max_length=50)
    neutral: Id = Field(
        description="The choice when none is made and none follows; its factor is 1."
    )
    by_soil: bool = Field(
        default=False, description="The choice follows from how the soil that is cut digs."
    )
    by_access: ByAccessTable | None = None
    by_height: Bands = Field(
        (), description="The choice follows from the height of each course, over all rows."
    )
    by_seen: BySeenTable | None = None
    by_plan: ByPlanTable | None = Field(None, validate_default=True)

    @field_validator("by_access", "by_seen", "by_plan")
    @classmethod
    def _names_choices(cls, value: _Table, info: ValidationInfo) -> _Table:
        """What follows is one of the choices."""
        choices = info.data.get("choices")
        if value is not None and choices is not None:
            unknown = ((key, name) for key, name in value.named if name not in choices)
            raise_broken([((key,), _no_choice(name, choices)) for key, name in unknown])
        return value

    @field_validator("by_height")
    @classmethod
    def _bands_rise(cls, value: Bands, info: ValidationInfo) -> Bands:
        """Bands rise and name choices."""
        choices = info.data.get("choices", {})
        check_bands(value)
        unknown = ((n, band.choice) for n, band in enumerate(value) if band.choice not in choices)
        raise_broken([((n, "choice"), _no_choice(name, choices)) for n, name in unknown])
        return value

    @field_validator("by_plan")
    @classmethod
    def _follows_from_one(
        cls, value: ByPlanTable | None, info: ValidationInfo
    ) -> ByPlanTable | None:
        """A choice follows from one thing."""
        ways = ("by_soil", "by_access", "by_height", "by_seen")
        given = [way for way in ways if info.data.get(way)] + ["by_plan"] * (value is not None)
        if len(given) > 1:
            message = f"follows from several things: {', '.join(given)}"
            raise refused("derived-twice", message, "one of them")
        return value

    @field_validator("neutral")
    @classmethod
    def _neutral_changes_nothing(cls, value: str, info: ValidationInfo) -> str:
        """The neutral choice is one of the choices, and leaves the hours as they are."""
        choices: Mapping[str, Decimal] | None = info.data.get("choices")
        if choices is None:
            return value
        if value not in choices:
            raise _no_choice(value, choices)
        if choices[value] != 1:
            raise refused(
                "neutral-not-1",
                f'the factor of the neutral choice "{value}" is {choices[value]}',
                'neutral hours are the hours of the tasks: its factor is "1"',
            )
        return value

    def to_core(self, condition_id: str) -> core.Condition:
        """The core's condition."""
        return core.Condition(
            id=condition_id,
            title=self.title,
            neutral=self.neutral,
            choices=MappingProxyType(dict(self.choices)),
            derivation=self._derivation(),
        )

    def _derivation(self) -> Derivation | None:
        """What the choice follows from."""
        if self.by_soil:
            return BySoil()
        if self.by_height:
            return ByHeight(bands=tuple(band.to_core() for band in self.by_height))
        table = self.by_access or self.by_plan or self.by_seen
        return table.to_core() if table else None


def _no_choice(name: str, choices: Collection[str]) -> PydanticCustomError:
    """A choice that the condition doesn't have."""
    hint = f"one of: {', '.join(choices)}"
    return refused("choice-unknown", f'"{name}" is not among the choices', hint)
