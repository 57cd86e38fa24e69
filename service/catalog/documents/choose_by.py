"""`[choose_by]` of production rates: costs by which the machines of a job are chosen."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from decimal import Decimal
from types import MappingProxyType

from pydantic import Field

from service.catalog.documents.entry import BrokenRule, SourcedTable
from service.core.job import machine as core
from service.fields import Id, StrictModel, TableOf, UnitCostText, refused


class MachineCostTable(StrictModel):
    """What a machine counts as; what is left out counts nothing."""

    hour: UnitCostText = Field(Decimal(0), description="Each hour that it works.")
    day: UnitCostText = Field(Decimal(0), description="Each day that it is there.")
    delivery: UnitCostText = Field(
        Decimal(0), description="Bringing it and taking it away, each time."
    )

    def to_core(self) -> core.MachineCost:
        """The core's costs."""
        return core.MachineCost(hour=self.hour, day=self.day, delivery=self.delivery)


class ChooseByTable(SourcedTable):
    """Costs of machines and of crews that decide which machines a job has, and nothing else:
    what they cost stands in the price list. Without the table a task keeps its own machine."""

    machines: TableOf[Id, MachineCostTable] = Field(
        max_length=50, description="Every machine of the rates."
    )
    crew_days: dict[Id, UnitCostText] = Field(
        min_length=1, max_length=20, description="A day of every crew, all of its people."
    )

    def broken(
        self, machines: Collection[str] | None, crews: Collection[str] | None
    ) -> Iterator[BrokenRule]:
        """Names that the rates don't have, and those that are left out: they would count nothing.
        None: what the rates have can't be read."""
        yield from _names("machines", self.machines, machines)
        yield from _names("crew_days", self.crew_days, crews)

    def to_core(self) -> core.ChooseBy:
        """The core's costs."""
        return core.ChooseBy(
            machines=MappingProxyType({name: of.to_core() for name, of in self.machines.items()}),
            crew_days=MappingProxyType(dict(self.crew_days)),
        )


def _names(key: str, costs: Collection[str], held: Collection[str] | None) -> Iterator[BrokenRule]:
    if held is None:
        return
    known = f"known: {', '.join(held)}" if held else "none is known"
    for name in costs:
        if name not in held:
            yield (key, name), refused("name-unknown", f'the rates have no "{name}"', known)
    missing = [name for name in held if name not in costs]
    if missing:
        message = f"leaves out {', '.join(missing)}, which would count nothing"
        yield (key,), refused("choose-by-incomplete", message, "costs of each of them")
