"""`site_work/<id>.toml`: a task beside the walls: its hours, machine, material, what it leaves."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, get_args

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.dust import DustTools
from service.catalog.documents.entry import EntryDocument, SourcedTable
from service.catalog.documents.hours import OneOrRange, three_point
from service.catalog.documents.material import SoldAmount
from service.core.job import site_task as core
from service.core.job.phase import Phase
from service.core.measure import UNITS, Dimension, Unit
from service.fields import Id, PartText, PositiveLength, StrictModel, UnitSymbol, refused

MOST_ROWS = 20
# What an amount of material is counted in; hours, days and loads are no material.
MATERIAL_DIMENSIONS: tuple[Dimension, ...] = ("count", "length", "area", "volume", "mass")
DISPOSAL_DIMENSIONS: tuple[Dimension, ...] = ("mass", "volume")


class SiteLaborTable(SourcedTable):
    """Person-hours."""

    hours: OneOrRange = Field(
        description="Person-hours for one `unit`, beside those of whoever runs the machine."
    )


class SiteMachineTable(SourcedTable):
    """The machine of a task."""

    id: Id = Field(description="Of a machine of the production rates.")
    hours: OneOrRange = Field(description="Machine-hours for one `unit`.")
    by_hand: OneOrRange | None = Field(
        None,
        description="Person-hours for one `unit` in place of all other hours, where the rates "
        "have no such machine or it doesn't come to the site.",
    )

    def to_core(self) -> core.SiteMachine:
        """The core's machine of a task."""
        return core.SiteMachine(
            machine=self.id,
            hours_per_unit=three_point(self.hours),
            by_hand=three_point(self.by_hand) if self.by_hand is not None else None,
        )


class SiteMaterialTable(SourcedTable):
    """What one unit of the task takes."""

    item: Id
    amount: SoldAmount = Field(description="For one `unit`.")
    waste: PartText = Field(Decimal(0), description="On top of the amount, as a share of it.")

    @field_validator("amount")
    @classmethod
    def _is_material(cls, value: tuple[Decimal, Unit]) -> tuple[Decimal, Unit]:
        """Material is counted, or measured by what it fills or weighs."""
        return _of(value, MATERIAL_DIMENSIONS)

    def to_core(self) -> core.SiteMaterial:
        """The core's material of a task."""
        amount, unit = self.amount
        return core.SiteMaterial(item=self.item, amount=amount, unit=unit, waste=self.waste)


class SiteDisposalTable(SourcedTable):
    """What one unit of the task leaves to be carried away."""

    what: core.Discarded
    item: Id = Field(description="What the price list calls its tipping.")
    amount: SoldAmount = Field(description="For one `unit`: a weight, or a loose volume.")

    @field_validator("amount")
    @classmethod
    def _is_carried(cls, value: tuple[Decimal, Unit]) -> tuple[Decimal, Unit]:
        """What is tipped is weighed or measured on the truck."""
        return _of(value, DISPOSAL_DIMENSIONS)

    def to_core(self) -> core.SiteDisposal:
        """The core's disposal of a task."""
        amount, unit = self.amount
        return core.SiteDisposal(what=self.what, item=self.item, amount=amount, unit=unit)


class SodTable(SourcedTable):
    """Sod that the task takes off. Where topsoil is stripped, it is stripped less by it."""

    thickness: PositiveLength = Field(description="In place, as it is cut.")


class SameWorkTable(StrictModel):
    """Tasks of production rates that do the same, one for one `unit` of this file: `catalog check`
    holds the hours against each other."""

    labor: tuple[Id, ...] = Field((), strict=False, max_length=MOST_ROWS)
    machine: tuple[Id, ...] = Field((), strict=False, max_length=MOST_ROWS)
    by_hand: tuple[Id, ...] = Field((), strict=False, max_length=MOST_ROWS)


def _of(value: tuple[Decimal, Unit], dimensions: tuple[Dimension, ...]) -> tuple[Decimal, Unit]:
    """An amount of one of these dimensions."""
    if value[1].dimension in dimensions:
        return value
    fitting = [unit.symbol for unit in UNITS.values() if unit.dimension in dimensions]
    raise refused("unit-mismatch", f"is in {value[1].symbol}", f"one of: {' '.join(fitting)}")


Materials = Annotated[tuple[SiteMaterialTable, ...], Field(strict=False, max_length=MOST_ROWS)]
Disposals = Annotated[tuple[SiteDisposalTable, ...], Field(strict=False, max_length=MOST_ROWS)]


class SiteWorkDocument(EntryDocument):
    """A task of site work. It has at least one of labor, machine, materials and disposal."""

    phase: Phase = Field(description="Its place in the order of work.")
    measured_by: core.SiteMeasured = Field(
        description="What a request gives as its quantity; a job is done once."
    )
    unit: UnitSymbol = Field(description="That all hours and amounts of this file are for.")
    crew: Id | None = Field(
        None,
        description="Of the production rates; their first one where they have none of this id.",
    )
    conditions: tuple[Id, ...] = Field(
        (),
        strict=False,
        max_length=MOST_ROWS,
        description="Of the production rates; one that they don't have changes nothing.",
    )
    dust: DustTools = ()
    labor: SiteLaborTable | None = None
    machine: SiteMachineTable | None = None
    materials: Materials = ()
    disposal: Disposals = Field((), validate_default=True)
    heaps_topsoil: bool = Field(
        default=False,
        description="Its volume is topsoil that lies heaped for the job's own tasks.",
    )
    sod: SodTable | None = None
    same_work: SameWorkTable | None = None

    @field_validator("unit")
    @classmethod
    def _unit_measures(cls, value: str, info: ValidationInfo) -> str:
        """The unit is of the dimension in which the task is measured."""
        measured = info.data.get("measured_by")
        if measured is None:
            return value
        fitting = _symbols(core.site_dimension(measured))
        if value in fitting:
            return value
        raise refused(
            "unit-mismatch",
            f'"{value}" doesn\'t fit: the task is measured by {measured}',
            f"one of: {' '.join(fitting)}",
        )

    @field_validator("conditions")
    @classmethod
    def _conditions_once(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        """A factor is applied once."""
        if len(frozenset(value)) != len(value):
            raise refused("condition-twice", "names a condition twice")
        return value

    @field_validator("heaps_topsoil")
    @classmethod
    def _heap_is_a_volume(cls, value: bool, info: ValidationInfo) -> bool:
        """What is heaped is a volume, in place."""
        measured = info.data.get("measured_by")
        if value and measured not in (None, "volume"):
            raise refused("heap-without-volume", f"the task is measured by {measured}", "volume")
        return value

    @field_validator("sod")
    @classmethod
    def _sod_has_an_area(cls, value: SodTable | None, info: ValidationInfo) -> SodTable | None:
        """Sod is taken off an area."""
        measured = info.data.get("measured_by")
        if value is not None and measured not in (None, "area"):
            raise refused("sod-without-area", f"the task is measured by {measured}", "area")
        return value

    @field_validator("disposal")
    @classmethod
    def _does_something(
        cls, value: tuple[SiteDisposalTable, ...], info: ValidationInfo
    ) -> tuple[SiteDisposalTable, ...]:
        """A task that takes neither time nor material costs nothing, which nobody means."""
        known: Mapping[str, object] = info.data
        parts = ("labor", "machine", "materials")
        if not value and all(name in known and not known[name] for name in parts):
            raise refused(
                "task-empty",
                "is left out, and so are labor, machine and materials",
                'at least one of them, such as a table [labor] with hours = "0.1"',
            )
        return value

    def to_core(self) -> core.SiteTask:
        """The core's task."""
        return core.SiteTask(
            id=self.id,
            version=self.version,
            title=self.title,
            phase=self.phase,
            measured_by=self.measured_by,
            unit=UNITS[self.unit],
            hours_per_unit=three_point(self.labor.hours) if self.labor else None,
            crew=self.crew,
            heaps_topsoil=self.heaps_topsoil,
            sod_m=self.sod.thickness if self.sod else 0.0,
            machine=self.machine.to_core() if self.machine else None,
            materials=tuple(row.to_core() for row in self.materials),
            disposal=tuple(row.to_core() for row in self.disposal),
            conditions=self.conditions,
            dust=self.dust,
        )


def _symbols(dimension: Dimension) -> tuple[str, ...]:
    """Units of sale of a dimension."""
    symbols: tuple[str, ...] = get_args(UnitSymbol)
    return tuple(s for s in symbols if s in UNITS and UNITS[s].dimension == dimension)
