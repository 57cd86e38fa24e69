"""Hours put in the order of work that a job and its rates ask for."""

from __future__ import annotations

from collections.abc import Sequence

from service.core.job.job import Job
from service.core.job.rates import Rates
from service.core.labor.hours import TimedWork
from service.core.labor.phase_work import OrderedWall, material_phases
from service.core.labor.sequencing.phase_rates import machine_uses, task_phases
from service.core.labor.sequencing.phases import Ordered, WorkOrder, order_work
from service.core.labor.site_work import SiteWork
from service.core.layout.layout import WallLayout


def put_in_order(
    job: Job, rates: Rates, layouts: Sequence[WallLayout], timed: TimedWork, site: SiteWork
) -> Ordered:
    """Timed work in its order.

    Walls are built in the order of the request, as crews come free.
    """
    phases = task_phases(rates, site.phases)
    order = WorkOrder(
        walls=tuple(OrderedWall(name=wall.name, length_m=wall.length_m) for wall in layouts),
        task_phases=phases,
        item_phases={**material_phases(job.system, job.section), **site.item_phases},
        machines=machine_uses(timed, rates, phases),
        rules=rates.order,
    )
    return order_work(timed, rates, order, job.units)
