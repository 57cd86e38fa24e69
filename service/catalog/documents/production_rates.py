"""`production_rates/<id>.toml`: who works, how long it takes, what makes it slower.

`RatesBody` is also read from requests.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import ROUND_CEILING, Decimal
from types import MappingProxyType
from typing import Annotated, Literal, get_args

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.currency import CurrencyCode
from service.catalog.documents.entry import (
    BrokenRule,
    EntryDocument,
    SourcedTable,
    raise_broken,
)
from service.core import rates as core
from service.core.measure import UNITS, Dimension
from service.fields import (
    FactorText,
    Id,
    PositiveDecimalText,
    RatioText,
    ShareText,
    ShortText,
    StrictModel,
    UnitCostText,
    UnitSymbol,
    refused,
)

INLINE_ID = "inline"
HOURS_OF_A_DAY = 24
# Rounded up: 50 of 60 minutes is 0.833334, so that a day that just fits never costs another half.
_SHARE_STEP = Decimal("0.000001")

CrewSize = Annotated[int, Field(ge=1, le=1000)]
Minutes = Annotated[int, Field(ge=1, le=60)]


class CrewTable(SourcedTable):
    """People who work together."""

    title: ShortText
    item: Id = Field(description="What the price list calls an hour of one of them.")
    size: CrewSize
    paid_hours_per_day: PositiveDecimalText
    worked_minutes_per_hour: Minutes | None = Field(
        None, description="Of a paid hour; or worked_share."
    )
    worked_share: RatioText | None = Field(
        None, validate_default=True, description="Part of a paid hour that is worked."
    )
    wage: UnitCostText | None = Field(
        None, description="Of one hour, where the price list has no such item."
    )
    burden: ShareText | None = Field(None, description="On the wage, as a share of it.")

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

    @field_validator("burden")
    @classmethod
    def _burden_on_a_wage(cls, value: Decimal | None, info: ValidationInfo) -> Decimal | None:
        """Burden is a share of a wage."""
        if value is not None and info.data.get("wage", "") is None:
            raise refused("burden-without-wage", "is a share of the wage, and there is none")
        return value

    def to_core(self, crew_id: str) -> core.Crew:
        """The core's crew."""
        minutes = Decimal(self.worked_minutes_per_hour or 0)
        share = (minutes / 60).quantize(_SHARE_STEP, ROUND_CEILING)
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


class TaskTable(SourcedTable):
    """Person-hours per unit of a measured quantity."""

    id: Id
    title: ShortText
    crew: Id
    measured_by: core.Measured
    hours: PositiveDecimalText = Field(description="Person-hours for one `per`.")
    per: UnitSymbol
    conditions: tuple[Id, ...] = Field((), strict=False, max_length=20)

    @field_validator("per")
    @classmethod
    def _per_measures(cls, value: str, info: ValidationInfo) -> str:
        """The unit is of the dimension in which the work is measured."""
        measured = info.data.get("measured_by")
        if measured is None:
            return value
        dimension = core.measured_dimension(measured)
        if value not in _symbols(dimension):
            raise refused(
                "unit-mismatch",
                f'"{value}" doesn\'t fit: {measured} is {_NAMED[dimension]}',
                f"one of: {' '.join(_symbols(dimension))}",
            )
        return value

    @field_validator("conditions")
    @classmethod
    def _conditions_once(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        """A factor is applied once."""
        if len(frozenset(value)) != len(value):
            raise refused("condition-twice", "names a condition twice")
        return value

    def to_core(self) -> core.ProductionTask:
        """The core's task."""
        return core.ProductionTask(
            id=self.id,
            title=self.title,
            crew=self.crew,
            measured_by=self.measured_by,
            hours_per_unit=self.hours,
            unit=UNITS[self.per],
            conditions=self.conditions,
        )


class FixedTable(SourcedTable):
    """Person-hours once per job, or on each day begun."""

    id: Id
    title: ShortText
    crew: Id
    hours: PositiveDecimalText = Field(description="Person-hours of the whole crew.")
    per: Literal["job", "day"]

    def to_core(self) -> core.FixedHours:
        """The core's fixed hours."""
        return core.FixedHours(
            id=self.id, title=self.title, crew=self.crew, hours=self.hours, per=self.per
        )


class ConditionTable(SourcedTable):
    """A factor on hours by circumstance."""

    title: ShortText
    choices: dict[Id, FactorText] = Field(min_length=1, max_length=50)
    neutral: Id = Field(description="The choice when none is made; its factor is 1.")

    @field_validator("neutral")
    @classmethod
    def _neutral_changes_nothing(cls, value: str, info: ValidationInfo) -> str:
        """The neutral choice is one of the choices, and leaves the hours as they are."""
        choices: Mapping[str, Decimal] | None = info.data.get("choices")
        if choices is None:
            return value
        if value not in choices:
            hint = f"one of: {', '.join(choices)}"
            raise refused("choice-unknown", f'"{value}" is not among the choices', hint)
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
        )


class RatesBody(StrictModel):
    """Production rates without the header of a catalog file."""

    currency: CurrencyCode | None = Field(None, description="Of the wages, where there are any.")
    crews: dict[Id, CrewTable] = Field(min_length=1, max_length=20)
    conditions: dict[Id, ConditionTable] = Field(default_factory=dict, max_length=20)
    tasks: tuple[TaskTable, ...] = Field((), strict=False, max_length=200)
    fixed: tuple[FixedTable, ...] = Field((), strict=False, max_length=50)

    @field_validator("tasks")
    @classmethod
    def _tasks_refer(
        cls, value: tuple[TaskTable, ...], info: ValidationInfo
    ) -> tuple[TaskTable, ...]:
        """Tasks name crews and conditions of this file, and no id stands twice."""
        broken = [*_unknown_crews(value, info), *_twice(task.id for task in value)]
        known = info.data.get("conditions")
        for place, task in enumerate(value):
            for number, name in enumerate(task.conditions):
                if known is not None and name not in known:
                    hint = f"known: {', '.join(known)}" if known else "a [conditions.<id>] table"
                    error = refused("condition-unknown", f'no condition is called "{name}"', hint)
                    broken.append(((place, "conditions", number), error))
        raise_broken(broken)
        return value

    @field_validator("fixed")
    @classmethod
    def _fixed_refer(
        cls, value: tuple[FixedTable, ...], info: ValidationInfo
    ) -> tuple[FixedTable, ...]:
        """Fixed hours name crews of this file, and no id stands twice, tasks included."""
        tasks: tuple[TaskTable, ...] = info.data.get("tasks", ())
        raise_broken(
            [
                *_unknown_crews(value, info),
                *_twice((fixed.id for fixed in value), taken=(task.id for task in tasks)),
            ]
        )
        return value

    def to_core(
        self, *, entry_id: str = INLINE_ID, version: str = "", title: str = "Rates of the request"
    ) -> core.Rates:
        """The core's rates; the header of rates that came inline says so."""
        return core.Rates(
            id=entry_id,
            version=version,
            title=title,
            crews=tuple(crew.to_core(crew_id) for crew_id, crew in self.crews.items()),
            tasks=tuple(task.to_core() for task in self.tasks),
            fixed=tuple(fixed.to_core() for fixed in self.fixed),
            conditions=MappingProxyType(
                {name: condition.to_core(name) for name, condition in self.conditions.items()}
            ),
            currency=self.currency,
        )


class ProductionRatesDocument(RatesBody, EntryDocument):
    """Production rates of the catalog: where they hold wages, they say in which currency."""

    @field_validator("crews")
    @classmethod
    def _wages_have_a_currency(
        cls, value: dict[str, CrewTable], info: ValidationInfo
    ) -> dict[str, CrewTable]:
        """A wage without a currency would be taken for whatever the quote is in."""
        broken: list[BrokenRule] = []
        for crew_id, crew in value.items():
            if crew.wage is not None and info.data.get("currency", "") is None:
                message, hint = "the file gives no currency", 'currency = "USD" at its top'
                broken.append(((crew_id, "wage"), refused("currency-missing", message, hint)))
        raise_broken(broken)
        return value

    def to_core(
        self, *, entry_id: str | None = None, version: str | None = None, title: str | None = None
    ) -> core.Rates:
        """The core's rates under the entry's own header."""
        return RatesBody.to_core(
            self,
            entry_id=entry_id or self.id,
            version=version or self.version,
            title=title or self.title,
        )


_NAMED: Mapping[Dimension, str] = {
    "length": "a length",
    "area": "an area",
    "volume": "a volume",
    "mass": "a mass",
    "count": "a count",
}


def _symbols(dimension: Dimension) -> tuple[str, ...]:
    """Units of sale of a dimension."""
    symbols: tuple[str, ...] = get_args(UnitSymbol)
    return tuple(s for s in symbols if s in UNITS and UNITS[s].dimension == dimension)


def _unknown_crews(
    rows: Iterable[TaskTable | FixedTable], info: ValidationInfo
) -> list[BrokenRule]:
    crews: Mapping[str, CrewTable] | None = info.data.get("crews")
    if crews is None:
        return []
    hint = f"known: {', '.join(crews)}"
    return [
        ((place, "crew"), refused("crew-unknown", f'no crew is called "{row.crew}"', hint))
        for place, row in enumerate(rows)
        if row.crew not in crews
    ]


def _twice(ids: Iterable[str], taken: Iterable[str] = ()) -> list[BrokenRule]:
    seen = list(taken)
    broken: list[BrokenRule] = []
    for place, row_id in enumerate(ids):
        if row_id in seen:
            broken.append(((place, "id"), refused("id-twice", f'"{row_id}" stands twice')))
        seen.append(row_id)
    return broken
