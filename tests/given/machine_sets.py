"""Small builders for the tests of chosen machines: what they count as, and sets of them tried."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from service.core.job.machine import ChooseBy, Machine, MachineCost
from service.core.job.measured import Measured
from service.core.job.rates import MachineTask, ProductionTask, Rates
from service.core.job.site_task import SiteWorkEntry
from service.core.labor.choosing.machine_sets import Options, choose_machines
from service.core.labor.crew_stay import CrewStay
from service.core.labor.fit import NO_LIMITS, SiteLimits
from service.core.labor.hours import Labor, TaskHours, TimedWork
from service.core.labor.labor import labor_of, task_timing
from service.core.labor.machine_time import hold_machines
from service.core.labor.sequencing.crew_phases import CrewOrder
from service.core.labor.sequencing.phases import Ordered, WorkOrder, order_work
from service.core.labor.site_work import Workforce, site_hours
from service.core.measure import US
from service.core.shares import Shares
from tests.given.machines import YD3, digger, machine_rates
from tests.given.money import quantities, rates, task
from tests.given.phases import ONE

NO_WORK = TimedWork(tasks=())
NO_ORDER = order_work(NO_WORK, rates(), WorkOrder(walls=ONE, task_phases={}, item_phases={}), US)
BY_HAND = task("dig_by_hand", by="cut_volume", hours="1.5", unit="yd3")


def cost(hour: str = "0", day: str = "0", delivery: str = "0") -> MachineCost:
    """What a machine counts as."""
    return MachineCost(hour=Decimal(hour), day=Decimal(day), delivery=Decimal(delivery))


def chosen_by(
    costs: Mapping[str, MachineCost],
    *machine_tasks: MachineTask,
    tasks: tuple[ProductionTask, ...] = (BY_HAND,),
    machines: tuple[Machine, ...] | None = None,
    crew_day: str = "800",
) -> Rates:
    """Rates that choose by these costs, and by 800 for a day of two people, 16 h of work."""
    fleet = machines or tuple(digger(name) for name in costs)
    by = ChooseBy(machines=costs, crew_days={"crew": Decimal(crew_day)})
    return replace(machine_rates(*machine_tasks, machines=fleet, tasks=tasks), choose_by=by)


def volumes(**yards: float) -> Mapping[Measured, Shares]:
    """Volumes of one wall in cubic yards."""
    names: dict[str, Measured] = {"cut": "cut_volume", "backfill": "backfill_volume"}
    return {names[name]: (("wall-1", amount * YD3),) for name, amount in yards.items()}


def choose(
    rates: Rates,
    measured: Mapping[Measured, Shares],
    limits: SiteLimits = NO_LIMITS,
    entries: tuple[SiteWorkEntry, ...] = (),
    tried: list[TimedWork] | None = None,
) -> Labor:
    """The labor of the choice; days are those that hours take, whatever the order. What is put in
    order on the way is added to `tried`."""

    def hours_of_site(left: SiteLimits) -> tuple[TaskHours, ...]:
        return site_hours(entries, Workforce(rates=rates, conditions={}, limits=left), US)

    def order(work: TimedWork) -> Ordered:
        if tried is not None:
            tried.append(work)
        held = hold_machines(work.machine_tasks, rates, {})
        labor = labor_of(work, rates, {}, held)
        crews = CrewOrder(
            stays={crew.crew: there_for(crew.days) for crew in labor.crews}, present={}
        )
        return replace(NO_ORDER, timed=work, held=held, crews=crews)

    timing = task_timing(rates, {}, quantities(), US, measured=measured, limits=limits)
    options = Options(
        timing=timing,
        retimed=lambda _: timing,
        entries=entries,
        site_hours=hours_of_site,
        order=order,
    )
    found = choose_machines(options)
    labor = labor_of(found.timed, rates, found.crews.stays, found.held)
    return replace(labor, choice=found.choice)


def there_for(days: Decimal) -> CrewStay:
    """The whole crew of two, there from the start for so many days."""
    there = ((0, int(days * 2)),)
    return CrewStay(waiting="paid", there=there, people=((2, days),))


def sets_of(labor: Labor) -> list[tuple[tuple[str, ...], str]]:
    """The choice and the runner-up with their costs."""
    assert labor.choice is not None
    found = (labor.choice.chosen, labor.choice.runner_up)
    return [(each.machines, str(each.cost)) for each in found if each is not None]


def done(labor: Labor) -> list[str]:
    """What is done, by hand and by machines."""
    return [each.task for each in (*labor.tasks, *labor.machine_tasks)]
