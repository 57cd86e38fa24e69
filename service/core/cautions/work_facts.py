"""Facts of how the work is done: dust, pallets, what is left to hands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.core.job.fact import Fact, Facts
from service.core.job.handling import DUST_TOOL_TITLES, DUST_TOOLS, DustControl, DustTool
from service.core.job.job import Job
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import Labor
from service.core.labor.pallets import why_broken
from service.core.layout.layout import WallLayout
from service.core.takeoff.cuts import count_cuts

# What units are cut with where no task of the rates says so: the tool of which the rule asks most.
_NOT_SAID: DustTool = "handheld_saw"


def dust_fact(job: Job, layouts: Sequence[WallLayout], labor: Labor | None) -> Facts:
    """What of this job makes dust of concrete or stone, with what the place asks for by tool."""
    made = frozenset(_dust_tools(job, layouts, labor))
    words = [
        _control_words(tool, job.jurisdiction.dust[tool])
        for tool in DUST_TOOLS
        if tool in made and tool in job.jurisdiction.dust
    ]
    return {"dust": Fact(value=float(bool(made)), words=" ".join(words))}


def pallet_fact(job: Job, limits: SiteLimits) -> Facts:
    """Full pallets that no machine of the rates lifts here, where no task counts breaking them."""
    counted = job.rates is None or any(task.breaks_pallets for task in job.rates.tasks)
    why = None if counted or job.rates is None else why_broken(job.rates, limits, job.units)
    words = f"{why[0].upper()}{why[1:]}." if why else ""
    return {"pallets_too_heavy": Fact(value=float(bool(why)), words=words)}


def _dust_tools(job: Job, layouts: Sequence[WallLayout], labor: Labor | None) -> Iterator[DustTool]:
    for entry in job.site_work:
        yield from entry.task.dust
    done = {task.task for task in labor.tasks} if labor else set()
    tasks = job.rates.tasks if job.rates else ()
    of_rates = [tool for task in tasks if task.id in done for tool in task.dust]
    if of_rates:
        yield from of_rates
    elif any(map(count_cuts, layouts)):
        yield _NOT_SAID


def _control_words(tool: DustTool, asked: DustControl) -> str:
    """One tool: how dust is kept down, and the respirator where one is asked for."""
    words = f"{DUST_TOOL_TITLES[tool]}: {asked.control}"
    if asked.respirator_over_h is None or asked.protection is None:
        return f"{words}."
    over = f"over {asked.respirator_over_h:f} h of it in a shift "
    return (
        f"{words}; {over if asked.respirator_over_h else ''}a respirator with an assigned "
        f"protection factor of {asked.protection}."
    )
