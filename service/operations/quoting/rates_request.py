"""Rates of the catalog with own figures for single tasks, as a request writes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Annotated

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator

from service.catalog import Catalog, RatesBody
from service.catalog.documents.entry import BrokenRule, raise_broken
from service.catalog.documents.hours import OneOrRange, three_point
from service.core.job.fact import Assumption
from service.core.job.own_hours import OwnHours, TimedRow, rows_of, with_own_hours
from service.core.job.rates import FixedHours, MachineTask, Rates, Waiting
from service.core.money import plain
from service.core.near_words import NearWords
from service.core.three_point import ThreePoint
from service.fields import Id, ShortText, StrictModel, TableOf, by_shape, refused
from service.operations.quoting.known_ids import RatesId, catalog_of

MOST_OVERRIDES = 450  # as many as rates have rows

MOST_MACHINES = 50  # as many as rates have

MachinesOff = Annotated[
    tuple[Id, ...],
    Field(
        strict=False,
        max_length=MOST_MACHINES,
        description="Machines of the rates that are not to be used on this job.",
    ),
]


class OwnHoursRequest(StrictModel):
    """Hours of one's own for one task, in its own unit, as finished jobs gave them."""

    hours: OneOrRange = Field(description="For one `per` of the task; of fixed hours one figure.")
    note: ShortText | None = Field(None, description="Where they come from; in `assumptions`.")

    def to_core(self) -> OwnHours:
        """The core's figure."""
        return OwnHours(hours_per_unit=three_point(self.hours), note=self.note)


class RatesWithWaiting(StrictModel):
    """Rates of the catalog with a word of one's own on waiting."""

    base: RatesId = Field(description="An id of GET /v1/production-rates.")
    waiting: Waiting | None = Field(
        None, description="What people do while a machine works; left out, as `base` says."
    )

    def to_core(self, catalog: Catalog) -> Rates:
        """The rates to quote with."""
        rates = catalog.production_rates[self.base].core
        return replace(rates, waiting=self.waiting or rates.waiting)


class RatesWithOverrides(RatesWithWaiting):
    """Rates of the catalog with a word of one's own on waiting, and own figures in place of those
    of single tasks."""

    overrides: TableOf[Id, OwnHoursRequest] = Field(
        {},
        max_length=MOST_OVERRIDES,
        description="By the id of a task, a machine task or fixed hours of `base`.",
    )

    @field_validator("overrides")
    @classmethod
    def _tasks_are_known(
        cls, value: dict[str, OwnHoursRequest], info: ValidationInfo
    ) -> dict[str, OwnHoursRequest]:
        """Each id is one of the rates; fixed hours are one figure."""
        base = info.data.get("base")
        if base is not None:
            raise_broken(list(_broken(value, catalog_of(info).production_rates[base].core)))
        return value

    def to_core(self, catalog: Catalog) -> Rates:
        """The rates to quote with."""
        own = {name: of.to_core() for name, of in self.overrides.items()}
        return with_own_hours(super().to_core(catalog), own)

    def assumptions(self, catalog: Catalog) -> Iterator[Assumption]:
        """What each own figure takes the place of, and its note."""
        rows = rows_of(catalog.production_rates[self.base].core)
        for name, of in self.overrides.items():
            row = rows[name]
            note = f": {of.note}" if of.note else ""
            yield Assumption(
                field=f"/rates/overrides/{name}",
                value=f"{_words(three_point(of.hours))} {_unit(row)}",
                why=f"own figure in place of {_stated(row)}{note}",
            )


def rates_shape(value: object) -> str:
    """Discriminator of `rates`: an id, rates with own figures, or whole rates."""
    if isinstance(value, RatesWithWaiting):
        return "overridden"
    if isinstance(value, Mapping) and ("base" in value or "overrides" in value):
        return "overridden"
    return by_shape(value)


RatesOrId = Annotated[
    Annotated[RatesId, Tag("text")]
    | Annotated[RatesBody, Tag("object")]
    | Annotated[RatesWithOverrides, Tag("overridden")],
    Discriminator(rates_shape),
]


def _broken(value: Mapping[str, OwnHoursRequest], rates: Rates) -> Iterator[BrokenRule]:
    rows, near = rows_of(rates), NearWords(3000, likeness=0.0)
    for name, of in value.items():
        row = rows.get(name)
        if row is None:
            message = f'the rates {rates.id!r} have no task "{name}"'
            yield (name,), refused("task-unknown", message, near.nearest(name, tuple(rows)))
        elif isinstance(row, FixedHours) and not isinstance(of.hours, Decimal):
            message = f"{name} are fixed hours, which have no range"
            yield (name, "hours"), refused("fixed-hours-range", message, 'such as "2.5"')


def _unit(row: TimedRow) -> str:
    if isinstance(row, FixedHours):
        return f"h per {row.per}"
    hours = "machine-hours" if isinstance(row, MachineTask) else "h"
    return f"{hours} per {row.unit.symbol}"


def _stated(row: TimedRow) -> str:
    """What the rates say of it themselves."""
    if isinstance(row, FixedHours):
        return f"{row.hours:f}"
    if row.hours_per_unit is None:
        return "what the machine compacts"
    return _words(row.hours_per_unit)


def _words(figure: ThreePoint) -> str:
    if figure.certain:
        return plain(figure.likely)
    return f"{plain(figure.low)} low, {plain(figure.likely)} likely, {plain(figure.high)} high"
