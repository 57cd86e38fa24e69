"""Small builders for the tests of labor and price: quantities, rates, prices and terms."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType

import pytest

from service.core.errors import Fault, PriceFaultsError
from service.core.job.measured import MEASURED, Measured
from service.core.job.price_list import ItemPrice, PriceList
from service.core.job.rates import Condition, Crew, FixedHours, ProductionTask, Rates
from service.core.job.section import Group
from service.core.job.terms import Extra, Kind, Profit, Tax, Terms
from service.core.labor.hours import CrewTime, Labor
from service.core.measure import UNITS, US, UnitSet
from service.core.price.price import Price, PriceLine
from service.core.price.pricing import price
from service.core.shares import Shares
from service.core.takeoff.quantities import Quantities, QuantityLine
from service.core.three_point import one_figure
from tests.given.scheduled import schedule

ONE_WALL: Shares = (("wall-1", 1.0),)
Priced = tuple[str, str]  # (unit cost, per)


def bought(
    item: str,
    order: str = "1",
    unit: str = "each",
    *,
    group: Group = "units",
    shares: Shares = ONE_WALL,
    pack: tuple[str, str] | None = None,
) -> QuantityLine:
    """An order of one item; with `pack` (content, unit) it counts packs, `unit` is their word."""
    return QuantityLine(
        item=item,
        description=item.title(),
        group=group,
        net=float(order),
        dimension="count" if pack else UNITS[unit].dimension,
        waste=Decimal(0),
        order=Decimal(order),
        order_unit=unit,
        sold_per="pack" if pack else unit,
        shares=shares,
        how=(),
        pack_content=Decimal(pack[0]) if pack else None,
        pack_unit=pack[1] if pack else None,
    )


def nothing_but(measured: Mapping[Measured, Shares]) -> Mapping[Measured, Shares]:
    """What is given of what work can be measured by, and nothing of all else."""
    return MappingProxyType({name: measured.get(name, ()) for name in MEASURED})


def quantities(
    *lines: QuantityLine, measured: Mapping[Measured, Shares] | None = None
) -> Quantities:
    """A takeoff of these lines, and what work is measured by: nothing of all that isn't given."""
    return Quantities(
        lines=lines,
        measured=nothing_but(measured or {}),
        delivered_kg=0.0,
        not_weighed=(),
    )


def crew(
    name: str = "crew",
    *,
    item: str = "crew_hour",
    size: int = 2,
    paid: str = "8",
    worked: str = "1",
    wage: str | None = None,
    burden: str = "0",
) -> Crew:
    """Two people, eight paid hours a day, all of them worked."""
    return Crew(
        id=name,
        title=name.title(),
        item=item,
        size=size,
        paid_hours_per_day=Decimal(paid),
        worked_share=Decimal(worked),
        wage=None if wage is None else Decimal(wage),
        burden=Decimal(burden),
    )


def task(
    name: str = "set_units",
    *,
    by: Measured = "standard_units",
    hours: str = "0.05",
    unit: str = "each",
    conditions: tuple[str, ...] = (),
    who: str = "crew",
) -> ProductionTask:
    """Setting units at 0.05 person-hours each unless something else is asked for."""
    return ProductionTask(
        id=name,
        title=name.replace("_", " "),
        crew=who,
        measured_by=by,
        hours_per_unit=one_figure(Decimal(hours)),
        unit=UNITS[unit],
        conditions=conditions,
    )


def once(hours: str, name: str = "set_up", who: str = "crew") -> FixedHours:
    """Fixed hours once per job."""
    return FixedHours(id=name, title=name, crew=who, hours=Decimal(hours), per="job")


def daily(hours: str, name: str = "travel", who: str = "crew") -> FixedHours:
    """Fixed hours on every day begun."""
    return FixedHours(id=name, title=name, crew=who, hours=Decimal(hours), per="day")


ACCESS = Condition(
    id="access",
    title="Access",
    neutral="machine",
    choices={"machine": Decimal(1), "by_hand": Decimal("1.5")},
)
GROUND = Condition(
    id="ground",
    title="Ground",
    neutral="firm",
    choices={"firm": Decimal(1), "soft": Decimal("1.2")},
)


def rates(
    *tasks: ProductionTask,
    crews: Sequence[Crew] = (crew(),),
    fixed: Sequence[FixedHours] = (),
    currency: str | None = None,
) -> Rates:
    """Rates of these tasks with the conditions `access` and `ground`."""
    return Rates(
        id="rates",
        version="1",
        title="Rates",
        crews=tuple(crews),
        tasks=tasks,
        fixed=tuple(fixed),
        conditions={"access": ACCESS, "ground": GROUND},
        currency=currency,
    )


def scheduled(
    of: Rates,
    measured: Mapping[Measured, Shares],
    conditions: Mapping[str, str] | None = None,
    units: UnitSet = US,
) -> Labor:
    """The labor of these measured quantities."""
    return schedule(of, conditions or {}, quantities(measured=measured), units)


def crew_time(
    paid: str,
    *,
    days: str = "1",
    people: str = "1",
    item: str = "crew_hour",
    shares: Shares = ONE_WALL,
    hour_cost: str | None = None,
    name: str = "crew",
) -> CrewTime:
    """Paid hours of a crew."""
    return CrewTime(
        crew=name,
        title=name.title(),
        item=item,
        hours=Decimal(paid),
        days=Decimal(days),
        paid_hours=Decimal(paid),
        person_days=Decimal(days) * Decimal(people),
        shares=shares,
        how=(),
        hour_cost=None if hour_cost is None else Decimal(hour_cost),
        hour_cost_how=None if hour_cost is None else f"{hour_cost} per h",
    )


def labor(*crews: CrewTime, currency: str | None = None) -> Labor:
    """Labor of these crews, without its tasks."""
    hours = sum((c.hours for c in crews), Decimal(0))
    return Labor(
        tasks=(),
        crews=crews,
        labor_hours=hours,
        labor_hours_low=hours,
        labor_hours_high=hours,
        crew_days=sum((c.days for c in crews), Decimal(0)),
        wage_currency=currency,
    )


def prices(
    items: Mapping[str, Priced],
    *,
    overrides: Mapping[str, Priced] | None = None,
    list_id: str | None = None,
    currency: str = "USD",
    places: int = 2,
) -> PriceList:
    """Inline prices, or a list with `list_id`."""
    return PriceList(
        currency=currency,
        minor_places=places,
        items={item: _price(of) for item, of in items.items()},
        id=list_id,
        revision=3 if list_id else None,
        overrides={item: _price(of) for item, of in (overrides or {}).items()},
    )


def _price(of: Priced) -> ItemPrice:
    return ItemPrice(unit_cost=Decimal(of[0]), per=of[1])


def markup(share: str) -> Profit:
    """Profit as a share of cost."""
    return Profit(basis="markup", share=Decimal(share))


def margin(share: str) -> Profit:
    """Profit as a share of the price."""
    return Profit(basis="margin", share=Decimal(share))


def tax(rate: str, *kinds: Kind) -> Tax:
    """Tax on the price of these kinds, of all where none is named."""
    return Tax(rate=Decimal(rate), on=kinds) if kinds else Tax(rate=Decimal(rate))


def extra(cost: str, kind: Kind = "fee", description: str = "Extra") -> Extra:
    """A cost as it stands."""
    return Extra(description=description, kind=kind, cost=Decimal(cost))


def priced(
    lines: Sequence[QuantityLine] = (),
    of: PriceList | None = None,
    terms: Terms | None = None,
    *,
    work: Labor | None = None,
    extras: Sequence[Extra] = (),
    walls: tuple[str, ...] = ("wall-1",),
) -> Price:
    """A price, of inline costs unless a list is given."""
    return price(quantities(*lines), work, of or prices({}), terms, extras, walls)


def priced_extras(terms: Terms, *costs: str, kind: Kind = "material") -> Price:
    """The price of bare costs under some terms."""
    return priced(terms=terms, extras=[extra(cost, kind) for cost in costs])


def line(of: Price, item: str) -> PriceLine:
    """The one price line of an item."""
    (found,) = (each for each in of.lines if each.item == item)
    return found


def faults_of(call: Callable[[], Price]) -> tuple[Fault, ...]:
    """What a price is refused for."""
    with pytest.raises(PriceFaultsError) as caught:
        call()
    return caught.value.faults


def how(of: Price, amount: str) -> str:
    """The arithmetic of an amount in words."""
    return dict(of.how)[amount]
