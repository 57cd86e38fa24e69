"""Hours put in the order of work, with machines held from first to last day of need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.core.job.job import Job
from service.core.job.rates import Rates
from service.core.labor.hours import Labor
from service.core.labor.machine_time import hold_machines
from service.core.labor.phase_work import OrderedWall, material_phases
from service.core.labor.sequencing.phase_rates import machine_uses, task_phases
from service.core.labor.sequencing.phases import Ordered, WorkOrder, machine_needs, order_work
from service.core.labor.site_work import SiteWork
from service.core.layout.layout import WallLayout


def put_in_order(
    job: Job, rates: Rates, layouts: Sequence[WallLayout], labor: Labor, site: SiteWork
) -> Ordered:
    """The labor in its order of work, its machines held over it.

    Walls are built in the order of the request, as crews come free.
    """
    phases = task_phases(rates, site.phases)
    order = WorkOrder(
        walls=tuple(OrderedWall(name=wall.name, length_m=wall.length_m) for wall in layouts),
        task_phases=phases,
        item_phases={**material_phases(job.system, job.section), **site.item_phases},
        machines=machine_uses(labor, rates, phases),
        rules=rates.order,
    )
    done = order_work(labor, rates, order, job.units)
    held = hold_machines(done.labor, machine_needs(done.machines), rates.choose_by)
    return replace(done, labor=held)
