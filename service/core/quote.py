"""The whole calculation, in order: lay out, take off, schedule, price, cautions.

Re-pricing enters at the last step, so that it can't disagree with quoting.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from service.core.balance import Earthwork, balance
from service.core.cautions import screen_cautions
from service.core.earth_facts import job_earth_facts, wall_earth_facts
from service.core.earth_lines import earth_lines
from service.core.earthwork import excavate
from service.core.errors import Fault, LayoutFaultsError, QuoteFaultsError
from service.core.facts import Fact, Facts, unit_weight_fact, wall_facts
from service.core.job import Job
from service.core.jurisdiction import Assumption, Caution
from service.core.labor import schedule
from service.core.layout import WallLayout, lay_out
from service.core.levels import MOST_SIZE, too_large_fault
from service.core.measure import number
from service.core.ordering import OTHER_INCREMENT, STONE_INCREMENT
from service.core.pricing import price
from service.core.results import Labor, Price, Quantities
from service.core.takeoff import take_off, with_lines
from service.core.trench import NO_TOPSOIL

# Every change of shape is a section to draw: more of them than 200 stations of a wall need take
# longer than a request may.
MOST_DUG_SIZE = 3000


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPriced:
    """A part of the job that the total leaves out; `field` is what would bring it in."""

    part: Literal["labor", "earthwork", "terms"]
    field: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """Everything the answer says, in SI and exact money."""

    job: Job
    layouts: tuple[WallLayout, ...]
    earthwork: Earthwork | None
    quantities: Quantities
    labor: Labor | None
    price: Price
    cautions: tuple[Caution, ...]
    assumptions: tuple[Assumption, ...]
    not_priced: tuple[NotPriced, ...]


def quote(job: Job) -> Quote:
    """Quote a job. Pure: the same job gives the same quote.

    Raises LayoutFaultsError with the faults of all walls, QuoteFaultsError for quantities or
    conditions that don't fit the catalog, PriceFaultsError with every price that is missing.
    """
    layouts = lay_out_walls(job)
    earthwork = dig(job, layouts)
    quantities = take_off(layouts, job.system, job.section, job.materials, job.units)
    if earthwork:
        quantities = with_lines(
            quantities, earth_lines(earthwork, job.materials, job.prices, job.units)
        )
    labor = schedule(job.rates, job.conditions, quantities, job.units) if job.rates else None
    return Quote(
        job=job,
        layouts=layouts,
        earthwork=earthwork,
        quantities=quantities,
        labor=labor,
        price=reprice(job, quantities, labor),
        cautions=_cautions(job, layouts, earthwork),
        assumptions=(*job.assumptions, *_increment_assumptions(quantities)),
        not_priced=tuple(_not_priced(job, layouts, earthwork)),
    )


def reprice(job: Job, quantities: Quantities, labor: Labor | None) -> Price:
    """The last step alone: quantities and hours as they stand, at the job's prices and terms."""
    names = tuple(wall.name for wall in job.walls)
    return price(quantities, labor, job.prices, job.terms, job.extras, names)


def lay_out_walls(job: Job) -> tuple[WallLayout, ...]:
    """All walls laid out; the faults of all of them at once."""
    layouts, faults, size = [], [], 0
    for index, wall in enumerate(job.walls):
        try:
            layouts.append(lay_out(wall, job.system, job.section, job.units))
            size += layouts[-1].size
        except LayoutFaultsError as error:
            faults += [replace(f, at=("walls", index, *f.at)) for f in error.faults]
        if size > MOST_SIZE:
            raise LayoutFaultsError([replace(too_large_fault(), at=("walls",))])
    if faults:
        raise LayoutFaultsError(faults)
    return tuple(layouts)


def dig(job: Job, layouts: tuple[WallLayout, ...]) -> Earthwork | None:
    """Earthwork of all walls and graded areas, balanced; None where nothing is dug or filled.

    Raises QuoteFaultsError with the faults of all walls.
    """
    if job.materials_only or not has_ground(job):
        return None
    retained = job.soils.retained
    if retained is None:
        raise QuoteFaultsError([_soil_missing()])
    if sum(layout.size for layout in layouts) > MOST_DUG_SIZE:
        raise LayoutFaultsError([replace(too_large_fault(), at=("walls",))])
    walls, faults = [], []
    for index, layout in enumerate(layouts):
        try:
            dug = excavate(
                layout,
                job.section,
                retained,
                job.jurisdiction.cut_slopes,
                job.units,
                job.topsoil or NO_TOPSOIL,
            )
        except LayoutFaultsError as error:
            faults += [replace(f, at=("walls", index, *f.at)) for f in error.faults]
        else:
            walls += [dug] if dug else []
    if faults:
        raise LayoutFaultsError(faults)
    fill = job.soils.fill
    return balance(walls, job.graded, retained, fill, job.truck, job.topsoil, job.units)


def has_ground(job: Job) -> bool:
    """Existing ground is given for a wall, or an area is graded."""
    return bool(job.graded) or any(
        entry.existing_grade_m is not None or entry.existing_section
        for wall in job.walls
        for entry in wall.profile
    )


def _soil_missing() -> Fault:
    return Fault(
        code="field-missing",
        at=("soils", "retained"),
        message="soils.retained is needed with existing ground: its swell, shrink and weight",
        hint="a soil of the catalog",
    )


def _cautions(
    job: Job, layouts: tuple[WallLayout, ...], earthwork: Earthwork | None
) -> tuple[Caution, ...]:
    held = Fact(value=1.0)
    dug = [wall.wall for wall in earthwork.walls] if earthwork else []
    job_facts: Facts = {
        "always": held,
        "ground_not_measured": Fact(value=float(len(dug) < len(layouts))),
        "not_screened": held,
        "price_tax_assumed": Fact(
            value=float(any(a.field == "/terms/tax/base" for a in job.assumptions))
        ),
        "prices_not_effective": Fact(value=float(job.prices_not_effective)),
        **unit_weight_fact(job.system, job.units),
    }
    earth_facts = wall_earth_facts(earthwork, job.units) if earthwork else {}
    by_wall = {
        layout.name: {
            **wall_facts(layout, job.section, job.units),
            **earth_facts.get(layout.name, {}),
        }
        for layout in layouts
    }
    if earthwork:
        job_facts = {**job_facts, **job_earth_facts(earthwork)}
    return screen_cautions(job.jurisdiction, by_wall, job_facts)


def _increment_assumptions(quantities: Quantities) -> Iterator[Assumption]:
    for line in quantities.lines:
        if line.increment_assumed:
            step = STONE_INCREMENT if line.group == "stone" else OTHER_INCREMENT
            yield Assumption(
                field=f"catalog: materials/{line.item}, sold.increment",
                value=f"{number(step)} {line.order_unit}",
                why="no material file says what the yard rounds an order up to",
            )


def _not_priced(
    job: Job, layouts: tuple[WallLayout, ...], earthwork: Earthwork | None
) -> Iterator[NotPriced]:
    dug = [wall.wall for wall in earthwork.walls] if earthwork else []
    for index, layout in enumerate(layouts):
        if layout.name not in dug:
            yield NotPriced(
                part="earthwork",
                field=f"/walls/{index}/profile/0/existing_grade",
                why=f"{layout.name}: digging, backfill and hauling are not quoted without "
                "existing ground",
            )
    if job.materials_only:
        yield NotPriced(part="labor", field="/materials_only", why="material alone was asked for")
    elif job.rates is None:
        yield NotPriced(part="labor", field="/rates", why="no production rates were named")
    if job.terms is None:
        yield NotPriced(part="terms", field="/terms", why="without terms the price is the cost")
