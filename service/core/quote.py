"""The whole calculation, in order: lay out, take off, schedule, price, cautions.

Re-pricing enters at the last step, so that it can't disagree with quoting; who sees no money goes
by the same steps (`planned`).
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from decimal import Decimal

from service.core.built import Built, build, increment_assumptions, laid_out
from service.core.engineering import check_engineering
from service.core.ground.known_ground import KnownGround
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.layout.layout import WallLayout
from service.core.needed import NeededItem, needed_not_priced
from service.core.not_priced import NotPriced, not_priced
from service.core.price.allowances import extras_of
from service.core.price.price import Price
from service.core.price.pricing import price
from service.core.unused import unused_allowances, unused_conditions, unused_overrides


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceEffect:
    """Totals of the quote without and with layers of reinforcement."""

    gravity_total: Decimal
    reinforced_total: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote(Built):
    """Everything the answer says, in SI and exact money. `quantities` are as they are ordered at
    `prices`. `price_effect` is None where there are no layers of reinforcement."""

    prices: PriceList
    price: Price
    not_priced: tuple[NotPriced, ...]
    needed: tuple[NeededItem, ...]
    price_effect: PriceEffect | None = None


def quote(
    job: Job,
    prices: PriceList,
    *,
    layouts: tuple[WallLayout, ...] | None = None,
    ground: KnownGround | None = None,
) -> Quote:
    """Quote a job. Pure: the same job at the same prices gives the same quote. `layouts` and
    `ground` are its own, where somebody has them already: they aren't worked out again.

    Raises LayoutFaultsError with the faults of all walls, QuoteFaultsError for quantities or
    conditions that don't fit the catalog or engineering that can't be settled so, PriceFaultsError
    with every price that is missing.
    """
    laid = laid_out(job, layouts, ground)
    quoted = laid.quoted
    answered = _priced(build(laid, reinforced=quoted), prices)
    check_engineering(job, laid.screening.checks(reinforced=quoted), answered.cautions)
    if not laid.screening.reinforcement:
        return answered
    other = _priced(build(laid, reinforced=not quoted), prices)
    plain, layered = (other, answered) if quoted else (answered, other)
    effect = PriceEffect(gravity_total=plain.price.total, reinforced_total=layered.price.total)
    return replace(answered, price_effect=effect)


def planned(
    job: Job,
    prices: PriceList | None,
    *,
    layouts: tuple[WallLayout, ...] | None = None,
    ground: KnownGround | None = None,
) -> Built:
    """What a quote of the job builds, without what it costs: ordered as `prices` ask for it, where
    there are any. Raises as `quote` does; PriceFaultsError only where there are prices."""
    laid = laid_out(job, layouts, ground)
    built = build(laid, reinforced=laid.quoted)
    lines = built.quantities.lines if prices is None else _price(built, prices).bought
    check_engineering(job, laid.screening.checks(reinforced=laid.quoted), built.cautions)
    return replace(
        built,
        quantities=replace(built.quantities, lines=lines),
        assumptions=(
            *built.assumptions,
            *unused_conditions(job, built.labor),
            *increment_assumptions(lines),
        ),
    )


def _price(built: Built, prices: PriceList) -> Price:
    job = built.job
    extras = extras_of(job, built.cautions.held, prices)
    names = tuple(wall.name for wall in job.walls)
    return price(built.quantities, built.labor, prices, job.terms, extras, names)


def _priced(built: Built, prices: PriceList) -> Quote:
    """The last step: what is to be built at these prices, ordered as they ask for."""
    job, priced = built.job, _price(built, prices)
    held, bought = built.cautions.held, priced.bought
    as_built = {each.name: getattr(built, each.name) for each in fields(Built)}
    as_built["quantities"] = replace(built.quantities, lines=bought)
    as_built["assumptions"] = (
        *built.assumptions,
        *unused_overrides(prices, priced.lines),
        *unused_conditions(job, built.labor),
        *unused_allowances(job, held),
        *increment_assumptions(bought),
    )
    return Quote(
        **as_built,
        prices=prices,
        price=priced,
        not_priced=tuple(not_priced(job, built.layouts, built.earthwork)),
        needed=needed_not_priced(job, held, built.earthwork, bought, prices),
    )
