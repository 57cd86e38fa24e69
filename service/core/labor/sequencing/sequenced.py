"""Hours put in the order of work that a job and its rates ask for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.core.job.job import Job
from service.core.job.rates import Rates
from service.core.labor.hours import TimedWork
from service.core.labor.phase_work import OrderedWall, material_phases
from service.core.labor.sequencing.phase_rates import machine_uses, task_phases
from service.core.labor.sequencing.phases import Ordered, WorkOrder, order_work
from service.core.labor.site_work import SiteWork
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet


def work_order(job: Job, rates: Rates, layouts: Sequence[WallLayout], site: SiteWork) -> WorkOrder:
    """What the order of work rests on, whoever does it. Walls are built in the order of the
    request, as crews come free."""
    return WorkOrder(
        walls=tuple(OrderedWall(name=wall.name, length_m=wall.length_m) for wall in layouts),
        task_phases=task_phases(rates, site.phases),
        item_phases={**material_phases(job.system, job.section), **site.item_phases},
        rules=rates.order,
    )


def put_in_order(order: WorkOrder, rates: Rates, units: UnitSet, timed: TimedWork) -> Ordered:
    """Timed work in its order."""
    uses = machine_uses(timed, rates, order.task_phases)
    return order_work(timed, rates, replace(order, machines=uses), units)
