"""Tasks of production rates: person-hours and machine-hours on what is measured."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from itertools import pairwise
from types import MappingProxyType
from typing import Literal, get_args

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.dust import DustTools
from service.catalog.documents.entry import SourcedTable
from service.catalog.documents.hours import OneOrRange, three_point
from service.core.fraction import Fraction
from service.core.job import rates as core
from service.core.job.measured import WEIGHED, Measured, measured_dimension
from service.core.job.phase import DEFAULT_PHASE, Phase
from service.core.labor.output import rate_of_cycle, rate_of_output
from service.core.measure import UNITS, Dimension
from service.core.three_point import ThreePoint
from service.fields import (
    FactorText,
    FractionText,
    Id,
    ListOf,
    Mass,
    PositiveDecimalText,
    PositiveLength,
    PositiveVolume,
    ShortText,
    StrictModel,
    UnitSymbol,
    refused,
)

_NAMED: Mapping[Dimension, str] = {
    "length": "a length",
    "area": "an area",
    "volume": "a volume",
    "mass": "a mass",
    "count": "a count",
    "load": "a number of loads",
}
_PER_DISTANCE = "The hours are those of carrying it so far; the way of `access` is a factor."


def _symbols(dimension: Dimension) -> tuple[str, ...]:
    """Units of sale of a dimension."""
    symbols: tuple[str, ...] = get_args(UnitSymbol)
    return tuple(s for s in symbols if s in UNITS and UNITS[s].dimension == dimension)


class MeasuredTable(SourcedTable):
    """What tasks of crews and of machines have in common."""

    id: Id
    title: ShortText
    measured_by: Measured = Field(description="See the list at the end of the guide.")
    per: UnitSymbol = Field(description="The unit that the hours are for.")
    conditions: tuple[Id, ...] = Field(
        (), strict=False, max_length=20, description="Whose factors change the hours."
    )
    per_distance: PositiveLength | None = Field(None, description=_PER_DISTANCE)
    phase: Phase = Field(DEFAULT_PHASE, description="Its place in the order of work.")

    @field_validator("per")
    @classmethod
    def _per_measures(cls, value: str, info: ValidationInfo) -> str:
        """The unit is of the dimension in which the work is measured."""
        measured = info.data.get("measured_by")
        if measured is None:
            return value
        dimension = measured_dimension(measured)
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


class SettingRateTable(StrictModel):
    """Another rate for lighter or heavier units."""

    up_to: Mass | None = Field(None, description="Of one unit; left out in the last row: any.")
    hours: OneOrRange = Field(description="Person-hours for one `per`.")

    def to_core(self) -> core.WeightRate:
        """The core's row."""
        return core.WeightRate(up_to_kg=self.up_to, hours_per_unit=three_point(self.hours))


class TaskTable(MeasuredTable):
    """Person-hours per unit of a measured quantity."""

    crew: Id = Field(description="Who does it.")
    hours: OneOrRange = Field(description="Person-hours for one `per`.")
    breaks_pallets: bool = Field(
        default=False,
        description="Done only where a pallet is heavier than what a machine that passes lifts.",
    )
    dust: DustTools = ()

    by_weight: ListOf[SettingRateTable] = Field(
        (),
        strict=False,
        max_length=20,
        description="The first row that a unit doesn't outweigh holds; else `hours`.",
    )

    @field_validator("by_weight")
    @classmethod
    def _weights_rise(
        cls, value: tuple[SettingRateTable, ...], info: ValidationInfo
    ) -> tuple[SettingRateTable, ...]:
        """Rows are of units of one kind, lighter ones first."""
        measured = info.data.get("measured_by")
        if value and measured and measured not in WEIGHED:
            message = f"needs units of one kind, and {measured} are none"
            raise refused("by-weight-unused", message, f"one of: {' '.join(WEIGHED)}")
        weights = [math.inf if row.up_to is None else row.up_to for row in value]
        if any(after <= before for before, after in pairwise(weights)):
            raise refused("weights-not-rising", "each `up_to` must be more than the one before")
        return value

    def to_core(self) -> core.ProductionTask:
        """The core's task."""
        return core.ProductionTask(
            id=self.id,
            title=self.title,
            crew=self.crew,
            measured_by=self.measured_by,
            hours_per_unit=three_point(self.hours),
            unit=UNITS[self.per],
            conditions=self.conditions,
            per_distance_m=self.per_distance,
            phase=self.phase,
            breaks_pallets=self.breaks_pallets,
            dust=self.dust,
            by_weight=tuple(row.to_core() for row in self.by_weight),
        )


class CycleTable(StrictModel):
    """What goes to and fro with a load: load x fill x 3600 / seconds, loose."""

    load: PositiveVolume
    fill: FactorText = Field(Decimal(1), description="How full it is on average.")
    seconds: PositiveDecimalText = Field(description="Of one round, waiting not counted.")


class MachineTaskTable(MeasuredTable):
    """Machine-hours per unit of a measured quantity, stated in one of three ways; a task that
    states none is timed by what its machine compacts."""

    machine: Id
    hours: OneOrRange | None = Field(None, description="Machine-hours for one `per`.")
    output: OneOrRange | None = Field(
        None, validate_default=True, description="`per` in an hour that is worked in full."
    )
    cycle: CycleTable | None = Field(None, validate_default=True)
    efficiency: FractionText | None = Field(
        None,
        validate_default=True,
        description="Part of an hour that is worked; with output or cycle.",
    )
    lifts_units: bool = Field(
        default=False, description="The machine must be able to lift the heaviest unit."
    )
    only_if: dict[Id, Id] = Field(
        default_factory=dict,
        max_length=20,
        description="Choices by condition; under others `otherwise` is done.",
    )
    otherwise: Id | None = Field(
        None, description="The task done in its place where the machine can't do it."
    )

    @field_validator("output", "cycle")
    @classmethod
    def _one_rate(cls, value: object, info: ValidationInfo) -> object:
        """A rate is stated once."""
        stated = [name for name in ("hours", "output") if info.data.get(name) is not None]
        if value is not None and stated:
            raise refused("rate-twice", f"is stated beside {' and '.join(stated)}")
        return value

    @field_validator("cycle")
    @classmethod
    def _cycle_moves_volume(cls, value: CycleTable | None, info: ValidationInfo) -> object:
        """A load is a volume, so what is carried by loads is one."""
        measured = info.data.get("measured_by")
        if value is not None and measured and measured_dimension(measured) != "volume":
            raise refused("cycle-not-volume", f"moves a volume, and {measured} is none")
        return value

    @field_validator("efficiency")
    @classmethod
    def _efficiency_of_an_output(
        cls, value: Fraction | None, info: ValidationInfo
    ) -> Fraction | None:
        """Output and cycle are those of a full hour, so both say how much of it is worked."""
        if "output" not in info.data or "cycle" not in info.data:
            return value
        needed = info.data["output"] is not None or info.data["cycle"] is not None
        if needed and not value:
            raise refused(
                "efficiency-missing", "is needed with output or cycle", 'such as "0.75" or "5/6"'
            )
        if value is not None and not needed:
            raise refused("efficiency-unused", "belongs to output or cycle, and there is neither")
        return value

    def to_core(self) -> core.MachineTask:
        """The core's task; outputs become hours per unit."""
        rate, basis = self._rate()
        return core.MachineTask(
            id=self.id,
            title=self.title,
            machine=self.machine,
            measured_by=self.measured_by,
            hours_per_unit=rate,
            unit=UNITS[self.per],
            basis=basis,
            conditions=self.conditions,
            lifts_units=self.lifts_units,
            only_if=MappingProxyType(dict(self.only_if)),
            otherwise=self.otherwise,
            per_distance_m=self.per_distance,
            phase=self.phase,
        )

    def _rate(self) -> tuple[ThreePoint | None, str | None]:
        unit, efficiency = UNITS[self.per], self.efficiency or Fraction(1)
        if self.hours is not None:
            return three_point(self.hours), None
        if self.output is not None:
            return rate_of_output(three_point(self.output), efficiency, unit)
        if self.cycle is not None:
            cycle = self.cycle
            return rate_of_cycle(cycle.load, cycle.fill, cycle.seconds, efficiency, unit)
        return None, None


class FixedTable(SourcedTable):
    """Person-hours once per job, or on each day begun."""

    id: Id
    title: ShortText
    crew: Id = Field(description="Who does it.")
    hours: PositiveDecimalText = Field(description="Person-hours of the whole crew.")
    per: Literal["job", "day"] = Field(description="Once per job, or on each day begun.")
    phase: Phase | None = Field(None, description="Its place in the order of work.")

    def to_core(self) -> core.FixedHours:
        """The core's fixed hours."""
        return core.FixedHours(
            id=self.id,
            title=self.title,
            crew=self.crew,
            hours=self.hours,
            per=self.per,
            phase=self.phase,
        )
