"""A task of site work: what it is measured by, who and what does it, what it takes and leaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, get_args

from service.core.closed_list import row_each
from service.core.job.handling import DustTool
from service.core.job.phase import Phase
from service.core.measure import Dimension, Unit, in_unit, number
from service.core.three_point import ThreePoint

SiteMeasured = Literal["job", "length", "area", "volume", "count", "mass"]
# What site work can be measured by; a job is done once.
SITE_MEASURED: tuple[SiteMeasured, ...] = get_args(SiteMeasured)

Discarded = Literal[
    "clean_soil",
    "sod",
    "brush",
    "concrete",
    "block",
    "stone",
    "timber",
    "treated_timber",
    "metal",
    "mixed",
]
# What is carried away: each is tipped at a price of its own.
DISCARDED: tuple[Discarded, ...] = get_args(Discarded)
DISCARDED_TITLES: Mapping[Discarded, str] = row_each(
    DISCARDED,
    {
        "clean_soil": "clean soil",
        "sod": "sod",
        "brush": "brush and wood chips",
        "concrete": "concrete",
        "block": "block and brick",
        "stone": "stone",
        "timber": "untreated timber",
        "treated_timber": "treated timber",
        "metal": "metal",
        "mixed": "mixed waste",
    },
)


def site_dimension(measured: SiteMeasured) -> Dimension:
    """Dimension of a task's quantity."""
    return "count" if measured == "job" else measured


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteMaterial:
    """What one unit of the task takes: `amount` of `unit`. `waste` comes on top, as a share."""

    item: str
    amount: Decimal
    unit: Unit
    waste: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteDisposal:
    """What one unit of the task leaves to be carried away: a mass, or a loose volume."""

    what: Discarded
    item: str
    amount: Decimal
    unit: Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteMachine:
    """The machine of a task, by its id in the rates, and its hours for one unit.

    `by_hand` are person-hours that take the place of all other hours where the machine isn't
    there or doesn't come to the site; None: then the task can't be done.
    """

    machine: str
    hours_per_unit: ThreePoint
    by_hand: ThreePoint | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteTask:
    """One task. `hours_per_unit` are person-hours beside those of whoever runs the machine;
    `crew` names a crew of the rates, None: their first one. `sod_m` is the thickness of the sod
    that it takes off, so that stripping topsoil takes it no more; with `heaps_topsoil` its volume
    is topsoil that lies heaped for the job. `dust` are the tools with which it cuts or breaks
    concrete or stone."""

    id: str
    version: str
    title: str
    phase: Phase
    measured_by: SiteMeasured
    unit: Unit
    hours_per_unit: ThreePoint | None = None
    crew: str | None = None
    sod_m: float = 0.0
    heaps_topsoil: bool = False
    machine: SiteMachine | None = None
    materials: tuple[SiteMaterial, ...] = ()
    disposal: tuple[SiteDisposal, ...] = ()
    conditions: tuple[str, ...] = ()
    dust: tuple[DustTool, ...] = ()

    @property
    def dimension(self) -> Dimension:
        """Dimension of its quantity."""
        return site_dimension(self.measured_by)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteWorkEntry:
    """How much of a task is asked for, in SI or counted, and what the caller says about it."""

    task: SiteTask
    quantity: float
    note: str | None = None

    @property
    def amount(self) -> Decimal:
        """The quantity in the unit of the task, as it is shown: nine digits, so that what is
        worked out from it can be re-added by hand."""
        return Decimal(number(in_unit(self.quantity, self.task.unit.symbol)))

    def of(self, row: SiteMaterial | SiteDisposal) -> float:
        """What all of it takes, or leaves, of an item: SI, before waste."""
        return float(self.amount * row.amount * row.unit.si)
