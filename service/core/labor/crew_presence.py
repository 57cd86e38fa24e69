"""Who of a crew is there in one phase at one place, and how long: all of them, or drivers alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core.job.rates import Crew, Waiting
from service.core.labor.phase_work import PhaseWork, crew_key, days_of, machine_key
from service.core.money import total_of

_START = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Presence:
    """So many people of a crew, from one time to another in working days."""

    start: Fraction
    finish: Fraction
    people: int


def presences(here: Sequence[PhaseWork], crew: Crew, waiting: Waiting) -> tuple[Presence, ...]:
    """People of a crew in one phase at one place, from its beginning (0); none without work.

    Paid while they wait, all stay for as long as a machine works there. Otherwise they stay until
    their own work is done; of a machine that then works on, its driver stays.
    """
    mine = [work for work in here if work.resource == crew_key(crew.id)]
    own = days_of(mine)
    if not own:
        return ()
    if waiting == "paid":
        machines = [work for work in here if work.resource.startswith(machine_key(""))]
        return (_all(crew, days_of((*mine, *machines))),)
    driven = _driven(here, crew)
    if own >= max(driven.values(), default=_START):
        return (_all(crew, own),)
    drivers_hours = total_of(work.hours for work in here if work.operator == crew.id)
    by_hand = own * _share_by_hand(total_of(work.hours for work in mine), drivers_hours)
    until = _hands_until(crew, by_hand, driven)
    return (*((_all(crew, until),) if until else ()), *_drivers(crew, until, driven))


def _all(crew: Crew, finish: Fraction) -> Presence:
    return Presence(start=_START, finish=finish, people=crew.size)


def _driven(here: Iterable[PhaseWork], crew: Crew) -> Mapping[str, Fraction]:
    """Days of each machine that one of the crew drives here."""
    days: dict[str, Fraction] = {}
    for work in here:
        if work.operator == crew.id:
            days[work.resource] = days.get(work.resource, _START) + work.days
    return days


def _share_by_hand(all_hours: Decimal, drivers_hours: Decimal) -> Fraction:
    """The share of a crew's hours that isn't spent on machines."""
    return max(_START, 1 - Fraction(drivers_hours) / Fraction(all_hours))


def _hands_until(crew: Crew, by_hand: Fraction, driven: Mapping[str, Fraction]) -> Fraction:
    """When work by hand ends that those do who don't drive; `by_hand` is what the whole crew would
    take. Where all drive, it ends with the last machine."""
    last, others = max(driven.values()), crew.size - len(driven)
    if not by_hand:
        return _START
    return min(last, by_hand * crew.size / others) if others > 0 else last


def _drivers(crew: Crew, until: Fraction, driven: Mapping[str, Fraction]) -> Iterator[Presence]:
    """Drivers alone, from the end of the work by hand to that of each machine."""
    start = until
    for finish in sorted(set(driven.values())):
        if finish > start:
            many = sum(1 for days in driven.values() if days >= finish)
            yield Presence(start=start, finish=finish, people=min(many, crew.size))
            start = finish
