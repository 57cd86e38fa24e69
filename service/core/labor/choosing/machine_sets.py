"""Machines chosen for the whole job: of all sets that can do it, the one that costs least by the
figures of the rates (rule 19.8).

Sets are tried beginning with those that can't but cost least, and no further than that the best
two are certain.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, combinations
from types import MappingProxyType
from typing import NamedTuple

from service.core import rounding
from service.core.errors import Fault, QuoteFaultsError
from service.core.fraction import Fraction
from service.core.job.machine import ChooseBy, Machine
from service.core.job.site_task import SiteWorkEntry
from service.core.labor import crew_time
from service.core.labor.choosing.choice_cost import (
    CostPart,
    cost_parts,
    hours_by_worker,
    least_cost,
)
from service.core.labor.choosing.duties import Duty, done_ways, rate_duties, site_duties
from service.core.labor.fit import SiteLimits, not_chosen
from service.core.labor.hours import MachineChoice, MachineSet, TaskHours, TimedWork
from service.core.labor.labor import time_work
from service.core.labor.sequencing.phases import Ordered
from service.core.labor.task_timing import TaskTiming
from service.core.money import plain

# Sets double with each machine that may be left out; those of ten are tried in a moment.
MOST_OPTIONAL = 10

Names = frozenset[str]
Choices = tuple[tuple[str, str], ...]


class _Key(NamedTuple):
    """What decides between sets: cost, then the fewest machines, then their places in the rates."""

    cost: Fraction
    many: int
    places: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tried:
    """A set with its work in its order, and what that costs."""

    key: _Key
    parts: tuple[CostPart, ...]
    ordered: Ordered


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What is to be done and how: hours of tasks, and again with what follows from the machines
    that some limits leave; site work with its hours by the limits of the site, and how work is
    put in its order."""

    timing: TaskTiming
    retimed: Callable[[SiteLimits], TaskTiming]
    entries: Sequence[SiteWorkEntry]
    site_hours: Callable[[SiteLimits], Sequence[TaskHours]]
    order: Callable[[TimedWork], Ordered]
    _site: dict[tuple[Names, Choices], Sequence[TaskHours]] = field(default_factory=dict)

    @property
    def machines(self) -> Mapping[str, Machine]:
        """All machines of the rates."""
        return self.timing.rates.machines

    def duties(self) -> tuple[Duty, ...]:
        """What machines could do, of the rates and of site work."""
        timing = self.timing
        return (*rate_duties(timing), *site_duties(self.entries, timing))

    def limits(self, chosen: Names) -> SiteLimits:
        """The limits of the site with no machines but the chosen ones."""
        others = {
            name: not_chosen(machine)
            for name, machine in self.machines.items()
            if name not in chosen
        }
        limits = self.timing.limits
        return replace(limits, left_out=MappingProxyType({**others, **limits.left_out}))

    def site_work(self, limits: SiteLimits) -> Sequence[TaskHours]:
        """Hours of site work, worked out once for the same machines of its tasks and the same
        choices of conditions."""
        tasks = [entry.task.machine for entry in self.entries]
        out = frozenset(of.machine for of in tasks if of and of.machine in limits.left_out)
        key = (out, tuple(self.retimed(limits).limits.choices.items()))
        if key not in self._site:
            self._site[key] = self.site_hours(limits)
        return self._site[key]

    def work(self, limits: SiteLimits) -> TimedWork:
        """Work with the machines that the limits leave, not yet in order."""
        timing = self.retimed(limits)
        left = replace(timing.limits, left_out=limits.left_out)
        return time_work(timing, left, self.site_work(limits))

    def key(self, cost: Fraction, chosen: Names) -> _Key:
        """What a set is compared by."""
        places = tuple(i for i, name in enumerate(self.machines) if name in chosen)
        return _Key(cost, len(chosen), places)


def choose_machines(options: Options) -> Ordered:
    """Work in its order, with the machines that cost least by `choose_by` of the rates;
    of equal ones the fewest, then those that the rates name first. Without `choose_by`, and where
    machines have nothing to do, every machine that fits is used for what the rates use it for.

    Raises QuoteFaultsError where no set can do the work, and for too many machines
    (`machines-too-many`).
    """
    by = options.timing.rates.choose_by
    duties = options.duties() if by else ()
    sets = tuple(_sets(duties, options.machines)) if all(duties) else ()
    if by is None or not sets or sets == (Names(),):
        return options.order(options.work(options.timing.limits))
    best = _best_two(options, by, _by_least_cost(options, by, duties, sets))
    return replace(best[0].ordered, choice=_choice(best, options.machines, len(sets)))


def _sets(duties: Sequence[Duty], machines: Mapping[str, Machine]) -> Iterator[Names]:
    """Every set that can do all duties and of which each machine has something to do."""
    found: dict[Names, None] = {}
    could = {way.machine for duty in duties for way in duty}
    alone = (duty[0].machine for duty in duties if len(duty) == 1)
    needed = frozenset(name for name in alone if name is not None)
    optional = [name for name in machines if name in could and name not in needed]
    if len(optional) > MOST_OPTIONAL:
        raise QuoteFaultsError([_too_many(optional)])
    sizes = range(len(optional) + 1)
    for some in chain.from_iterable(combinations(optional, size) for size in sizes):
        ways = done_ways(duties, needed.union(some))
        if ways is not None:
            found[frozenset(way.machine for way in ways if way.machine is not None)] = None
    yield from found


def _too_many(optional: Sequence[str]) -> Fault:
    return Fault(
        code="machines-too-many",
        at=("rates", "choose_by"),
        message=f"{len(optional)} machines could be used on this job or left out "
        f"({', '.join(optional)}), and sets of at most {MOST_OPTIONAL} are compared",
        hint="machines that are not to be used in machines_off",
    )


def _by_least_cost(
    options: Options, by: ChooseBy, duties: Sequence[Duty], sets: Sequence[Names]
) -> list[tuple[_Key, Names]]:
    """Sets by what they can't cost less than."""
    rates = options.timing.rates
    named = {task.otherwise for task in rates.machine_tasks}
    once = [crew_time.once_hours(each) for each in rates.fixed if each.per == "job"]
    found = []
    for chosen in sets:
        timing = options.retimed(options.limits(chosen))
        always = [timing.crew_hours(task) for task in rates.tasks if task.id not in named]
        base = hours_by_worker((*filter(None, always), *once), rates)
        ways = {way.hours.task: way.hours for way in done_ways(duties, chosen) or () if way.hours}
        site = options.site_work(options.limits(chosen))
        least = least_cost(base, (*ways.values(), *site), rates, by)
        found.append((options.key(least, chosen), chosen))
    return sorted(found)


def _best_two(
    options: Options, by: ChooseBy, candidates: Sequence[tuple[_Key, Names]]
) -> list[_Tried]:
    """The sets that cost least and next to least, tried until no other can."""
    best: list[_Tried] = []
    fault: QuoteFaultsError | None = None
    for least, chosen in candidates:
        if len(best) > 1 and least >= best[1].key:
            break
        try:
            work = options.work(options.limits(chosen))
        except QuoteFaultsError as error:  # such as a crew whose day is too short for more work
            fault = fault or error
            continue
        ordered = options.order(work)
        parts = cost_parts(ordered, options.timing.rates, by)
        cost = sum((part.cost for part in parts), Fraction(0))
        best.append(_Tried(key=options.key(cost, chosen), parts=parts, ordered=ordered))
        best = sorted(best, key=lambda tried: tried.key)[:2]
    if not best and fault:
        raise fault
    return best


def _choice(best: Sequence[_Tried], machines: Mapping[str, Machine], count: int) -> MachineChoice:
    """The choice and the runner-up, with their costs in words."""
    first, others = best[0], best[1:]
    sets = [_machine_set(tried, machines) for tried in best]
    compared = [
        f"next of {count} sets: {_titles(tried, machines)}: {rounding.choice_cost(tried.key.cost)}"
        for tried in others
    ]
    return MachineChoice(
        chosen=sets[0],
        runner_up=sets[1] if others else None,
        how=(
            f"chosen by costs of the rates, which are no prices: {_titles(first, machines)}",
            *(part.words for part in first.parts),
            f"together {plain(first.key.cost)}",
            *(compared or ["no other machines can do the work"]),
        ),
    )


def _machine_set(tried: _Tried, machines: Mapping[str, Machine]) -> MachineSet:
    names = tuple(machines)
    return MachineSet(
        machines=tuple(names[place] for place in tried.key.places),
        cost=rounding.choice_cost(tried.key.cost),
    )


def _titles(tried: _Tried, machines: Mapping[str, Machine]) -> str:
    titles = [machine.title for machine in machines.values()]
    return " + ".join(titles[place] for place in tried.key.places) or "no machines"
