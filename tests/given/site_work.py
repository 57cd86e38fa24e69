"""Small builders for the tests of site work: tasks, entries, what is taken off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from service.core.job.machine import Machine, Owned, Truck
from service.core.job.material import Material, Pack
from service.core.job.phase import Phase
from service.core.job.rates import Rates
from service.core.job.site_task import (
    Discarded,
    SiteDisposal,
    SiteMachine,
    SiteMaterial,
    SiteMeasured,
    SiteTask,
    SiteWorkEntry,
)
from service.core.labor.site_work import SiteWork, Workforce, take_off_site_work
from service.core.measure import UNITS, US, UnitSet
from service.core.takeoff.quantities import QuantityLine
from service.core.three_point import ThreePoint

Range = tuple[str, str, str]


def hours(low: str, likely: str | None = None, high: str | None = None) -> ThreePoint:
    """One figure, or low, likely and high."""
    return ThreePoint(
        low=Fraction(low),
        likely=Fraction(likely or low),
        high=Fraction(high or low),
    )


def takes(item: str, amount: str, unit: str, waste: str = "0") -> SiteMaterial:
    """What one unit of a task takes."""
    return SiteMaterial(item=item, amount=Decimal(amount), unit=UNITS[unit], waste=Decimal(waste))


def leaves(what: Discarded, amount: str, unit: str) -> SiteDisposal:
    """What one unit of a task leaves."""
    return SiteDisposal(what=what, item=f"tip_{what}", amount=Decimal(amount), unit=UNITS[unit])


def site_task(
    name: str = "take_down_fence",
    *,
    by: SiteMeasured = "length",
    unit: str = "ft",
    labor: ThreePoint | None = None,
    machine: SiteMachine | None = None,
    materials: Sequence[SiteMaterial] = (),
    disposal: Sequence[SiteDisposal] = (),
    crew: str | None = None,
    conditions: tuple[str, ...] = (),
    phase: Phase = "take_down",
) -> SiteTask:
    """A task that is measured by length unless something else is asked for."""
    return SiteTask(
        id=name,
        version="1",
        title=name.replace("_", " ").capitalize(),
        phase=phase,
        measured_by=by,
        unit=UNITS[unit],
        hours_per_unit=labor,
        crew=crew,
        machine=machine,
        materials=tuple(materials),
        disposal=tuple(disposal),
        conditions=conditions,
    )


def asked(task: SiteTask, amount: str, note: str | None = None) -> SiteWorkEntry:
    """So much of a task, in its own unit."""
    return SiteWorkEntry(task=task, quantity=float(Decimal(amount) * task.unit.si), note=note)


def sold(
    item: str,
    per: str | None = None,
    *,
    increment: str | None = None,
    pack: tuple[str, str, str] | None = None,
    loose_kg_m3: float | None = None,
    loose_per_in_place: float = 1.0,
) -> Material:
    """A material file: sold per unit, or by the pack (content, unit, word)."""
    return Material(
        id=item,
        version="1",
        title=item.replace("_", " ").capitalize(),
        group="site_work",
        sold_per=UNITS[per] if per else None,
        increment=Decimal(increment) if increment else None,
        pack=Pack(content=Decimal(pack[0]), unit=UNITS[pack[1]], word=pack[2]) if pack else None,
        loose_kg_m3=loose_kg_m3,
        loose_per_in_place=loose_per_in_place,
    )


def skid_steer(width_m: float | None = None, operator: str | None = None) -> Machine:
    """A machine of one's own."""
    return Machine(
        id="skid_steer",
        title="Skid steer",
        cost=Owned(item="skid_steer_hour"),
        width_m=width_m,
        operator=operator,
    )


def site_work(
    *entries: SiteWorkEntry,
    walls: Sequence[QuantityLine] = (),
    materials: Sequence[Material] = (),
    rates: Rates | None = None,
    conditions: Mapping[str, str] | None = None,
    truck: Truck | None = None,
    units: UnitSet = US,
) -> SiteWork:
    """Site work of these entries, timed where there are rates."""
    return take_off_site_work(
        entries,
        walls,
        {material.id: material for material in materials},
        units,
        truck=truck,
        workforce=Workforce(rates=rates, conditions=conditions or {}) if rates else None,
    )


def line_of(found: SiteWork, item: str) -> QuantityLine:
    """The line of one item."""
    return next(line for line in found.lines if line.item == item)
