"""The whole calculation, in order: lay out, take off, schedule, price, cautions.

Re-pricing enters at the last step, so that it can't disagree with quoting.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from service.core.cautions.cautions import screen_cautions
from service.core.cautions.job_facts import facts_of
from service.core.errors import LayoutFaultsError
from service.core.ground.balance import Earthwork
from service.core.ground.groundwork import dig
from service.core.job.job import Job, Reinforcing
from service.core.job.jurisdiction import Assumption, Caution
from service.core.job.price_list import PriceList
from service.core.labor.earth_measure import measure_earth
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import Labor
from service.core.labor.labor import schedule
from service.core.labor.phases import Phases
from service.core.labor.sequenced import put_in_order
from service.core.labor.site_work import SiteWork, Workforce, take_off_site_work, with_site_work
from service.core.labor.spread import spread_assumptions
from service.core.labor.unit_rates import unit_weights
from service.core.layout.layout import WallLayout, lay_out
from service.core.layout.levels import MOST_SIZE, too_large_fault
from service.core.measure import number
from service.core.needed import NeededItem, needed_not_priced
from service.core.not_priced import NotPriced, not_priced
from service.core.price.allowances import extras_of
from service.core.price.price import Price
from service.core.price.pricing import price
from service.core.screening.cap_weight import cap_assumptions
from service.core.screening.screening import Screening, screen
from service.core.screening.strengths import strength_assumptions
from service.core.takeoff.earth_lines import earth_lines
from service.core.takeoff.increment import assumed_increment
from service.core.takeoff.quantities import Quantities, QuantityLine
from service.core.takeoff.takeoff import take_off, with_lines
from service.core.unused import unused_allowances, unused_conditions, unused_overrides

# Ways of reinforcing whose layers are part of the price.
QUOTED: tuple[Reinforcing, ...] = ("where_needed", "all")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceEffect:
    """Totals of the quote without and with layers of reinforcement."""

    gravity_total: Decimal
    reinforced_total: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """Everything the answer says, in SI and exact money. `quantities` are as they are ordered at
    `prices`. `reinforced` says whether the layers of the screening are part of it; `price_effect`
    is None where there are none."""

    job: Job
    prices: PriceList
    layouts: tuple[WallLayout, ...]
    screening: Screening
    reinforced: bool
    earthwork: Earthwork | None
    quantities: Quantities
    labor: Labor | None
    phases: Phases | None
    price: Price
    cautions: tuple[Caution, ...]
    assumptions: tuple[Assumption, ...]
    not_priced: tuple[NotPriced, ...]
    needed: tuple[NeededItem, ...]
    price_effect: PriceEffect | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Work:
    """What is to be built, with or without layers, before anybody asked what it costs."""

    layouts: tuple[WallLayout, ...]
    screening: Screening
    reinforced: bool
    earthwork: Earthwork | None
    quantities: Quantities
    labor: Labor | None
    phases: Phases | None
    cautions: tuple[Caution, ...]
    assumptions: tuple[Assumption, ...]


def quote(job: Job, prices: PriceList) -> Quote:
    """Quote a job. Pure: the same job at the same prices gives the same quote.

    Raises LayoutFaultsError with the faults of all walls, QuoteFaultsError for quantities or
    conditions that don't fit the catalog, PriceFaultsError with every price that is missing.
    """
    layouts = lay_out_walls(job)
    screening = screen(job, layouts)
    quoted = bool(screening.reinforcement) and job.reinforcing in QUOTED
    answered = _priced(job, _work(job, layouts, screening, reinforced=quoted), prices)
    if not screening.reinforcement:
        return answered
    other = _priced(job, _work(job, layouts, screening, reinforced=not quoted), prices)
    plain, layered = (other, answered) if quoted else (answered, other)
    effect = PriceEffect(gravity_total=plain.price.total, reinforced_total=layered.price.total)
    return replace(answered, price_effect=effect)


def _work(
    job: Job, layouts: tuple[WallLayout, ...], screening: Screening, *, reinforced: bool
) -> _Work:
    """The job with or without the layers that the screening laid out."""
    layers = screening.reinforcement if reinforced else ()
    groundwork = dig(job, layouts, layers)
    earthwork = groundwork.earth
    quantities = take_off(
        layouts,
        job.system,
        job.section,
        job.materials,
        job.units,
        layers,
        run_priced=job.run_priced,
    )
    if earthwork:
        quantities = with_lines(quantities, earth_lines(earthwork, job.materials, job.units))
    site = _site_work(job, quantities)
    quantities = with_site_work(quantities, site)
    labor, phases = _schedule(job, layouts, quantities, earthwork, site)
    facts = facts_of(job, layouts, earthwork, phases, screening, reinforced=reinforced)
    return _Work(
        layouts=layouts,
        screening=screening,
        reinforced=reinforced,
        earthwork=earthwork,
        quantities=quantities,
        labor=labor,
        phases=phases,
        cautions=screen_cautions(job.jurisdiction, *facts),
        assumptions=(*groundwork.assumptions, *(phases.assumptions if phases else ())),
    )


def _priced(job: Job, work: _Work, prices: PriceList) -> Quote:
    """The last step: what is to be built at these prices, ordered as they ask for."""
    extras = extras_of(job, work.cautions, prices)
    names = tuple(wall.name for wall in job.walls)
    priced = price(work.quantities, work.labor, prices, job.terms, extras, names)
    quantities = replace(work.quantities, lines=priced.bought)
    return Quote(
        job=job,
        prices=prices,
        layouts=work.layouts,
        screening=work.screening,
        reinforced=work.reinforced,
        earthwork=work.earthwork,
        quantities=quantities,
        labor=work.labor,
        phases=work.phases,
        price=priced,
        cautions=work.cautions,
        assumptions=(
            *job.assumptions,
            *work.assumptions,
            *spread_assumptions(job.rates),
            *strength_assumptions(job.soils),
            *cap_assumptions(job.system),
            *unused_overrides(prices, priced.lines),
            *unused_conditions(job, work.labor),
            *unused_allowances(job, work.cautions),
            *increment_assumptions(quantities.lines),
        ),
        not_priced=tuple(not_priced(job, work.layouts, work.earthwork)),
        needed=needed_not_priced(job, work.cautions, work.earthwork, priced.bought, prices),
    )


def _limits(job: Job) -> SiteLimits:
    placed = job.soils.fill or job.soils.retained
    return SiteLimits(access=job.access, soil_kind=placed.kind if placed else None)


def _heaviest_pallet_kg(job: Job, quantities: Quantities) -> float | None:
    """The heaviest full pallet of the units that are ordered, where weights are known."""
    ordered = [line.item for line in quantities.lines if line.order]
    units = (job.system.standard, job.system.corner, job.system.cap)
    pallets = (unit.pallet_kg for unit in units if unit and unit.item in ordered)
    return max((pallet for pallet in pallets if pallet is not None), default=None)


def _site_work(job: Job, quantities: Quantities) -> SiteWork:
    """Work beside the walls; of material alone nothing is tipped and nobody works."""
    force = None
    if job.rates is not None:
        force = Workforce(rates=job.rates, conditions=job.conditions, limits=_limits(job))
    site = take_off_site_work(
        job.site_work, quantities.lines, job.materials, job.units, truck=job.truck, workforce=force
    )
    if not job.materials_only:
        return site
    return replace(site, lines=tuple(line for line in site.lines if line.kind == "material"))


def _schedule(
    job: Job,
    layouts: tuple[WallLayout, ...],
    quantities: Quantities,
    earthwork: Earthwork | None,
    site: SiteWork,
) -> tuple[Labor | None, Phases | None]:
    """Hours of crews and machines, and the order of work, if there are rates."""
    if job.rates is None:
        return None, None
    limits = replace(
        _limits(job),
        pallet_kg=_heaviest_pallet_kg(job, quantities),
        weights=unit_weights(job.system),
    )
    labor = schedule(
        job.rates,
        job.conditions,
        quantities,
        job.units,
        measured=measure_earth(earthwork),
        limits=limits,
        other=site.work,
    )
    return put_in_order(job, job.rates, layouts, quantities, labor, site)


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


def increment_field(item: str) -> str:
    """Where the increment of an item would stand."""
    return f"catalog: materials/{item}, sold.increment"


def increment_assumptions(lines: Iterable[QuantityLine]) -> Iterator[Assumption]:
    """What orders were rounded up to where nothing says so."""
    for line in lines:
        if line.increment_assumed:
            step = assumed_increment(line.group)
            yield Assumption(
                field=increment_field(line.item),
                value=f"{number(step)} {line.order_unit}",
                why="no material file says what the yard rounds an order up to",
            )
