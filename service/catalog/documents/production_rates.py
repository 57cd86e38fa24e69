"""`production_rates/<id>.toml`: who works, with what, how long it takes, what makes it slower.

`RatesBody` is also read from requests.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

from pydantic import Field, ValidationInfo, field_validator

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
from service.catalog.documents.order import OrderTable
from service.catalog.documents.spread import SpreadTable
from service.catalog.documents.task import FixedTable, MachineTaskTable, MeasuredTable, TaskTable
from service.core.job import rates as core
from service.core.job.machine import NO_CARRYING
from service.core.job.measured import measured_dimension
from service.fields import Id, StrictModel, refused

INLINE_ID = "inline"
INLINE_SOURCE = "rates of the request"


class RatesBody(StrictModel):
    """Production rates without the header of a catalog file."""

    currency: CurrencyCode | None = Field(None, description="Of the wages, where there are any.")
    crews: dict[Id, CrewTable] = Field(min_length=1, max_length=20)
    conditions: dict[Id, ConditionTable] = Field(default_factory=dict, max_length=20)
    tasks: tuple[TaskTable, ...] = Field((), strict=False, max_length=200)
    fixed: tuple[FixedTable, ...] = Field((), strict=False, max_length=50)
    machines: dict[Id, MachineTable] = Field(default_factory=dict, max_length=50)
    machine_tasks: tuple[MachineTaskTable, ...] = Field((), strict=False, max_length=200)
    trucks: dict[Id, TruckTable] = Field(default_factory=dict, max_length=20)
    carrying: CarryingTable | None = None
    hand_strip: HandStripTable | None = None
    fill_behind: FillBehindTable | None = None
    order: OrderTable | None = None
    spread: SpreadTable | None = None

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
        """Who runs a machine is a crew of this file."""
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
                *_machine_faults(value, info),
                *_otherwise_faults(value, [task.id for task in tasks]),
            ]
        )
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
            fill_reach_m=self.fill_behind.reach if self.fill_behind else math.inf,
            order=self.order.to_core(source) if self.order else None,
            spread=self.spread.to_core(source) if self.spread else None,
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


def _machine_faults(rows: Iterable[MachineTaskTable], info: ValidationInfo) -> Iterator[BrokenRule]:
    """Machines that aren't there, and tasks that nothing times."""
    machines: Mapping[str, MachineTable] | None = info.data.get("machines")
    if machines is None:
        return
    hint = f"known: {', '.join(machines)}" if machines else "a [machines.<id>] table"
    for place, row in enumerate(rows):
        machine = machines.get(row.machine)
        if machine is None:
            message = f'no machine is called "{row.machine}"'
            yield (place, "machine"), refused("machine-unknown", message, hint)
        elif row.hours is None and row.output is None and row.cycle is None:
            yield from _untimed(place, row, machine)


def _untimed(place: int, row: MachineTaskTable, machine: MachineTable) -> Iterator[BrokenRule]:
    """A task without a rate is timed by the compaction of its machine, which moves a volume."""
    if machine.compaction is None or measured_dimension(row.measured_by) != "volume":
        yield (
            (place, "hours"),
            refused(
                "rate-missing",
                "nothing times this task",
                "hours, output or cycle; or a machine with [compaction] and a volume to compact",
            ),
        )


def _otherwise_faults(
    rows: tuple[MachineTaskTable, ...], crew_tasks: list[str]
) -> Iterator[BrokenRule]:
    """What takes a task's place is another task, and no way of them leads back."""
    after = {row.id: row.otherwise for row in rows}
    for place, row in enumerate(rows):
        if row.otherwise is None:
            continue
        if row.otherwise not in after and row.otherwise not in crew_tasks:
            message = f'no task is called "{row.otherwise}"'
            yield (place, "otherwise"), refused("task-unknown", message)
            continue
        passed, step = [row.id], row.otherwise
        while step in after and step not in passed:
            passed.append(step)
            step = after[step] or ""
        if step in passed:
            way = " -> ".join((*passed, step))
            yield (place, "otherwise"), refused("otherwise-circular", f"leads back: {way}")


def _twice(ids: Iterable[str], taken: Iterable[str] = ()) -> Iterator[BrokenRule]:
    seen = list(taken)
    for place, row_id in enumerate(ids):
        if row_id in seen:
            yield (place, "id"), refused("id-twice", f'"{row_id}" stands twice')
        seen.append(row_id)
