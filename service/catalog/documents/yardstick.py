"""`yardsticks/<id>.toml`: published figures that `catalog check` holds other entries against."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.entry import EntryDocument, SourcedTable
from service.catalog.documents.hours import OneOrRange, three_point
from service.catalog.documents.task import MeasuredTable
from service.core.fraction import Fraction
from service.core.job.measured import Measured
from service.core.job.reinforcement import Polymer
from service.core.measure import UNITS
from service.core.three_point import ThreePoint
from service.fields import Density, FactorText, Id, StrictModel, refused

MOST_ROWS = 200
Doer = Literal["people", "machine"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Densities in kg/m3, both ends included."""

    least: float
    most: float

    def hold(self, density: float) -> bool:
        """Whether a density lies within them, whatever the last digit of its float says."""
        return self.least * (1 - 1e-9) <= density <= self.most * (1 + 1e-9)


@dataclass(frozen=True, slots=True, kw_only=True)
class CreepFactors:
    """Usual factors for creep of sheets of one polymer, both ends included."""

    polymer: Polymer
    least: Decimal
    most: Decimal
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedRate:
    """Hours for one SI unit of what is measured (and for one meter of way, with
    `per_distance`), from the lowest to the highest that the source gives."""

    measured_by: Measured
    by: Doer
    hours: ThreePoint
    per_distance: bool
    site_work: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Yardstick:
    """What one file of published figures says."""

    concrete_usual: Bounds | None
    concrete_possible: Bounds | None
    core_fill_kg_m3: float | None
    creep: tuple[CreepFactors, ...]
    rates: tuple[PublishedRate, ...]


class BoundsTable(StrictModel):
    """From the lightest to the heaviest."""

    least: Density
    most: Density

    @field_validator("most")
    @classmethod
    def _in_order(cls, value: float, info: ValidationInfo) -> float:
        """The heaviest is no lighter than the lightest."""
        if value < info.data.get("least", value):
            raise refused("range-falls", "is less than least")
        return value

    def to_core(self) -> Bounds:
        """The bounds, in kg/m3."""
        return Bounds(least=self.least, most=self.most)


class ConcreteTable(SourcedTable):
    """Concrete of units, holes not counted."""

    usual: BoundsTable = Field(description="Outside it a unit is warned of.")
    possible: BoundsTable = Field(description="Outside it a unit is refused.")


class CoreFillTable(SourcedTable):
    """Stone in the holes of units."""

    weight: Density


class CreepTable(SourcedTable):
    """Factors for creep of sheets of one polymer. Less than the least is refused."""

    polymer: Polymer
    least: FactorText
    most: FactorText

    @field_validator("most")
    @classmethod
    def _in_order(cls, value: Decimal, info: ValidationInfo) -> Decimal:
        """The most is no less than the least."""
        if value < info.data.get("least", value):
            raise refused("range-falls", "is less than least")
        return value

    def to_core(self, source: str) -> CreepFactors:
        """The factors, with the citation of their source."""
        return CreepFactors(
            polymer=self.polymer,
            least=self.least,
            most=self.most,
            source=self.source.citation() if self.source else source,
        )


class PublishedRateTable(MeasuredTable):
    """A published rate of work."""

    by: Doer = Field(description="Whose hours these are.")
    hours: OneOrRange = Field(description="For one `per`, as far as the source gives a range.")
    site_work: tuple[Id, ...] = Field(
        (), strict=False, max_length=20, description="Tasks of site work that do the same."
    )

    def to_core(self, source: str) -> PublishedRate:
        """The rate for SI units."""
        si = Fraction(UNITS[self.per].si) * Fraction(self.per_distance or 1)
        return PublishedRate(
            measured_by=self.measured_by,
            by=self.by,
            hours=three_point(self.hours).times(1 / si),
            per_distance=self.per_distance is not None,
            site_work=self.site_work,
            source=self.source.citation() if self.source else source,
        )


class YardstickDocument(EntryDocument):
    """Published figures. No quote reads them: `catalog check` does."""

    concrete: ConcreteTable | None = None
    core_fill: CoreFillTable | None = None
    creep: Annotated[tuple[CreepTable, ...], Field(strict=False, max_length=MOST_ROWS)] = ()
    rates: Annotated[tuple[PublishedRateTable, ...], Field(strict=False, max_length=MOST_ROWS)] = ()

    def to_core(self) -> Yardstick:
        """The figures, in SI."""
        concrete = self.concrete
        return Yardstick(
            concrete_usual=concrete.usual.to_core() if concrete else None,
            concrete_possible=concrete.possible.to_core() if concrete else None,
            core_fill_kg_m3=self.core_fill.weight if self.core_fill else None,
            creep=tuple(row.to_core(self.source.citation()) for row in self.creep),
            rates=tuple(rate.to_core(self.source.citation()) for rate in self.rates),
        )
