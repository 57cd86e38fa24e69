"""What a request changes and nothing of the quote uses: a word on each, among the assumptions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.core.job.fact import Assumption
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.labor.hours import Labor
from service.core.price.price import PriceLine

UNUSED = "unused"


def unused(field: str, why: str) -> Assumption:
    """The assumption that a field changes nothing in this quote."""
    return Assumption(field=field, value=UNUSED, why=why)


def unused_overrides(prices: PriceList, lines: Sequence[PriceLine]) -> Iterator[Assumption]:
    """Overrides whose item is on no line of the price."""
    priced = frozenset(line.item for line in lines)
    for item in prices.overrides:
        if item not in priced:
            yield unused(f"/prices/overrides/{item}", "no line of this quote has the item")


def unused_conditions(job: Job, labor: Labor | None) -> Iterator[Assumption]:
    """Choices other than the neutral one by which no task with hours in this quote goes."""
    known = job.rates.conditions if job.rates else {}
    used = _conditions_used(job, labor)
    for name, choice in job.conditions.items():
        if name not in used and choice != known[name].neutral:
            yield unused(f"/conditions/{name}", "no work of this quote depends on it")


def unused_allowances(job: Job, held: Sequence[str]) -> Iterator[Assumption]:
    """Sums that the terms set aside for cautions that aren't given."""
    for each in job.terms.allowances if job.terms else ():
        if each.caution not in held:
            why = "the caution is not given for this job"
            yield unused(f"/terms/allowances/{each.caution}", why)


def _conditions_used(job: Job, labor: Labor | None) -> frozenset[str]:
    if job.rates is None or labor is None:
        return frozenset()
    done = {each.task for each in labor.tasks} | {each.task for each in labor.machine_tasks}
    own = [each.conditions for each in job.rates.tasks if each.id in done]
    own += [each.conditions for each in job.rates.machine_tasks if each.id in done]
    return frozenset().union(*own, *(entry.task.conditions for entry in job.site_work))
