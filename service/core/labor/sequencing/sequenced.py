"""Hours put in the order of work: phases, and machines held from first to last day of need."""

from __future__ import annotations

from collections.abc import Sequence

from service.core.job.job import Job
from service.core.job.rates import Rates
from service.core.labor.hours import Labor
from service.core.labor.machine_time import hold_machines
from service.core.labor.phase_work import OrderedWall, material_phases
from service.core.labor.sequencing.phase_rates import machine_uses, task_phases
from service.core.labor.sequencing.phases import Phases, WorkOrder, machine_needs, schedule_phases
from service.core.labor.site_work import SiteWork
from service.core.layout.layout import WallLayout
from service.core.takeoff.quantities import Quantities


def put_in_order(
    job: Job,
    rates: Rates,
    layouts: Sequence[WallLayout],
    quantities: Quantities,
    labor: Labor,
    site: SiteWork,
) -> tuple[Labor, Phases]:
    """The labor with its machines held over the order of work, and that order.

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
    bought = [line for line in quantities.lines if line.kind == "material"]
    done = schedule_phases(labor, rates, bought, order, job.units)
    return hold_machines(done.labor, machine_needs(done), rates.choose_by), done
