"""`production_rates/<id>.toml`: who works, with what, how long it takes, what makes it slower.

`RatesBody` is also read from requests.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.choose_by import ChooseByTable
from service.catalog.documents.crew import ConditionTable, CrewTable
from service.catalog.documents.currency import CurrencyCode
from service.catalog.documents.entry import BrokenRule, EntryDocument, raise_broken
from service.catalog.documents.machine import (
    CarryingTable,
    FillBehindTable,
    HandStripTable,
    MachineTable,
    TruckTable,
)
from service.catalog.documents.machine_task_faults import machine_faults, otherwise_faults
from service.catalog.documents.order import OrderTable
from service.catalog.documents.spread import SpreadTable
from service.catalog.documents.task import FixedTable, MachineTaskTable, MeasuredTable, TaskTable
from service.catalog.documents.task_choices import unknown_choices
from service.core.job import rates as core
from service.core.job.machine import NO_CARRYING
from service.fields import Id, ListOf, StrictModel, TableOf, refused

INLINE_ID = "inline"
INLINE_SOURCE = "rates of the request"


class RatesBody(StrictModel):
    """Production rates without the header of a catalog file."""

    currency: CurrencyCode | None = Field(None, description="Of the wages, where there are any.")
    crews: TableOf[Id, CrewTable] = Field(min_length=1, max_length=20)
    conditions: TableOf[Id, ConditionTable] = Field(default_factory=dict, max_length=20)
    tasks: ListOf[TaskTable] = Field((), strict=False, max_length=200)
    fixed: ListOf[FixedTable] = Field((), strict=False, max_length=50)
    machines: TableOf[Id, MachineTable] = Field(
        default_factory=dict, max_length=50, validate_default=True
    )
    machine_tasks: ListOf[MachineTaskTable] = Field((), strict=False, max_length=200)
    trucks: TableOf[Id, TruckTable] = Field(default_factory=dict, max_length=20)
    carrying: CarryingTable | None = None
    hand_strip: HandStripTable | None = None
    waiting: core.Waiting = Field(
        "paid",
        description="What people do while a machine works: they wait and are paid, or are elsewhere"
        " for whole half days.",
    )
    fill_behind: FillBehindTable | None = None
    order: OrderTable | None = None
    spread: SpreadTable | None = None
    choose_by: ChooseByTable | None = None

    @field_validator("conditions")
    @classmethod
    def _one_by_height(cls, value: dict[str, ConditionTable]) -> dict[str, ConditionTable]:
        """The units of a course are set at one factor by its height."""
        several = [name for name, condition in value.items() if condition.by_height][1:]
        fault = refused("derived-twice", "another condition goes by height already")
        raise_broken([((name, "by_height"), fault) for name in several])
        return value

    @field_validator("tasks")
    @classmethod
    def _tasks_refer(
        cls, value: tuple[TaskTable, ...], info: ValidationInfo
    ) -> tuple[TaskTable, ...]:
        """Tasks name crews and conditions of this file, and no id stands twice."""
        raise_broken(
            [
                *_unknown_crews(value, info),
                *_twice(task.id for task in value),
                *_unknown_conditions(value, info),
            ]
        )
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

    @field_validator("machines")
    @classmethod
    def _operators_refer(
        cls, value: dict[str, MachineTable], info: ValidationInfo
    ) -> dict[str, MachineTable]:
        """Who runs a machine is a crew of this file, and conditions name machines of it."""
        raise_broken([*_machines_not_there(value, info)])
        crews: Mapping[str, CrewTable] | None = info.data.get("crews")
        if crews is not None:
            hint = f"known: {', '.join(crews)}"
            raise_broken(
                [
                    ((name, "operator"), refused("crew-unknown", _no_crew(of.operator), hint))
                    for name, of in value.items()
                    if of.operator is not None and of.operator not in crews
                ]
            )
        return value

    @field_validator("machine_tasks")
    @classmethod
    def _machine_tasks_refer(
        cls, value: tuple[MachineTaskTable, ...], info: ValidationInfo
    ) -> tuple[MachineTaskTable, ...]:
        """Machine tasks name machines, conditions and tasks of this file, can be timed, and no id
        stands twice."""
        tasks: tuple[TaskTable, ...] = info.data.get("tasks", ())
        fixed: tuple[FixedTable, ...] = info.data.get("fixed", ())
        taken = [*(task.id for task in tasks), *(hours.id for hours in fixed)]
        raise_broken(
            [
                *_twice((task.id for task in value), taken=taken),
                *_unknown_conditions(value, info),
                *unknown_choices(value, info.data.get("conditions")),
                *machine_faults(value, info),
                *otherwise_faults(value, [task.id for task in tasks]),
            ]
        )
        return value

    @field_validator("choose_by")
    @classmethod
    def _choose_by_all(
        cls, value: ChooseByTable | None, info: ValidationInfo
    ) -> ChooseByTable | None:
        """Machines and crews are those of this file, and none is left out: it would be free."""
        if value is not None:
            raise_broken(list(value.broken(info.data.get("machines"), info.data.get("crews"))))
        return value

    def to_core(
        self,
        *,
        entry_id: str = INLINE_ID,
        version: str = "",
        title: str = "Rates of the request",
        source: str = INLINE_SOURCE,
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
            machines=MappingProxyType(
                {name: machine.to_core(name) for name, machine in self.machines.items()}
            ),
            machine_tasks=tuple(task.to_core() for task in self.machine_tasks),
            trucks=MappingProxyType({name: of.to_core() for name, of in self.trucks.items()}),
            carrying=self.carrying.to_core() if self.carrying else NO_CARRYING,
            hand_strip=self.hand_strip.to_core() if self.hand_strip else None,
            waiting=self.waiting,
            fill_reach_m=self.fill_behind.reach if self.fill_behind else math.inf,
            order=self.order.to_core(source) if self.order else None,
            spread=self.spread.to_core(source) if self.spread else None,
            choose_by=self.choose_by.to_core() if self.choose_by else None,
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
        self,
        *,
        entry_id: str | None = None,
        version: str | None = None,
        title: str | None = None,
        source: str | None = None,
    ) -> core.Rates:
        """The core's rates under the entry's own header."""
        return RatesBody.to_core(
            self,
            entry_id=entry_id or self.id,
            version=version or self.version,
            title=title or self.title,
            source=source or self.source.citation(),
        )


def _machines_not_there(
    machines: Mapping[str, MachineTable], info: ValidationInfo
) -> Iterator[BrokenRule]:
    """Machines that a condition goes by and the file doesn't have."""
    conditions: Mapping[str, ConditionTable] = info.data.get("conditions") or {}
    for name, condition in conditions.items():
        for machine in condition.by_access.machines if condition.by_access else ():
            if machine not in machines:
                message = f'conditions.{name}.by_access names "{machine}"; no machine is called so'
                hint = f"known: {', '.join(machines)}" if machines else None
                yield (machine,), refused("machine-unknown", message, hint)


def _no_crew(name: str | None) -> str:
    return f'no crew is called "{name}"'


def _unknown_crews(
    rows: Iterable[TaskTable | FixedTable], info: ValidationInfo
) -> Iterator[BrokenRule]:
    crews: Mapping[str, CrewTable] | None = info.data.get("crews")
    if crews is None:
        return
    hint = f"known: {', '.join(crews)}"
    for place, row in enumerate(rows):
        if row.crew not in crews:
            yield (place, "crew"), refused("crew-unknown", _no_crew(row.crew), hint)


def _unknown_conditions(
    rows: Iterable[MeasuredTable], info: ValidationInfo
) -> Iterator[BrokenRule]:
    known: Mapping[str, ConditionTable] | None = info.data.get("conditions")
    if known is None:
        return
    hint = f"known: {', '.join(known)}" if known else "a [conditions.<id>] table"
    for place, row in enumerate(rows):
        for number, name in enumerate(row.conditions):
            if name not in known:
                message = f'no condition is called "{name}"'
                yield (place, "conditions", number), refused("condition-unknown", message, hint)


def _twice(ids: Iterable[str], taken: Iterable[str] = ()) -> Iterator[BrokenRule]:
    seen = list(taken)
    for place, row_id in enumerate(ids):
        if row_id in seen:
            yield (place, "id"), refused("id-twice", f'"{row_id}" stands twice')
        seen.append(row_id)
