"""Half days of the order of work on which a crew is there, and how many of it (rule 19.2)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.rates import Crew, CrewDay, Waiting
from service.core.labor.crew_day import half_day_of, half_days_until
from service.core.labor.phase_work import PhaseWork, WorkThere, crew_key, machine_key
from service.core.money import total_of
from service.core.rounding import EXACT, HALF_DAY

HalfDays = tuple[tuple[int, int], ...]
_START = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Presence:
    """So many people of a crew, from one time to another in working days."""

    start: Fraction
    finish: Fraction
    people: int


def presences(here: WorkThere, crew: Crew, waiting: Waiting) -> tuple[Presence, ...]:
    """People of a crew in one phase at one place, from its beginning (0); none without work.

    Paid while they wait, all stay for as long as a machine works there. Otherwise they stay until
    their own work is done; of a machine that then works on, its driver stays.
    """
    key = crew_key(crew.id)
    own = here.days_each.get(key)
    if not own:
        return ()
    if waiting == "paid":
        machines = (days for who, days in here.days_each.items() if who.startswith(machine_key("")))
        return (_all(crew, max((own, *machines))),)
    driven = _driven(here.pieces, crew)
    if own >= max(driven.values(), default=_START):
        return (_all(crew, own),)
    drivers_hours = total_of(work.hours for work in here.pieces if work.operator == crew.id)
    all_hours = total_of(work.hours for work in here.pieces if work.resource == key)
    by_hand = own * _share_by_hand(all_hours, drivers_hours)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewStay:
    """`there` are the half days on which any of a crew is there; `people` are pairs of how many
    people and for how many days, all of the crew first."""

    waiting: Waiting
    there: HalfDays
    people: tuple[tuple[int, Decimal], ...]

    @property
    def days(self) -> Decimal:
        """The crew's days: half days on which any of it is there."""
        return total_of(days for _, days in self.people)

    @property
    def person_days(self) -> Decimal:
        """Days x people, which are paid."""
        return total_of(EXACT.multiply(days, Decimal(many)) for many, days in self.people)

    @property
    def begun(self) -> int:
        """Days on which it comes."""
        return days_with(self.there)

    @property
    def end(self) -> Decimal:
        """Working days of the order until it has left for good."""
        return _days(self.there[-1][1])


def stay_of(crew: Crew, day: CrewDay, present: Sequence[Presence], waiting: Waiting) -> CrewStay:
    """The half days into which work falls, with the daily hours of each day; paid while it waits, a
    crew is there for those between as well. `present` has one entry at least."""
    times = [(each.start, each.finish, each.people) for each in present]
    if waiting == "paid":
        times = [(min(time[0] for time in times), max(time[1] for time in times), crew.size)]
    spans = [
        (
            half_day_of(day, start),
            rounding.half_days_begun(half_days_until(day, finish)),
            people,
        )
        for start, finish, people in times
    ]
    return CrewStay(
        waiting=waiting,
        there=together((first, end) for first, end, _ in spans),
        people=tuple(_by_people(spans)),
    )


def _by_people(spans: Sequence[tuple[int, int, int]]) -> Iterator[tuple[int, Decimal]]:
    """Days by the most people who are there in each half day, most people first."""
    before = 0
    for many in sorted({people for _, _, people in spans}, reverse=True):
        at_least = ((first, end) for first, end, people in spans if people >= many)
        upto = count_halves(together(at_least))
        if upto > before:
            yield many, _days(upto - before)
        before = upto


def _days(count: int) -> Decimal:
    return EXACT.multiply(HALF_DAY, Decimal(count))


def together(spans: Iterable[tuple[int, int]]) -> HalfDays:
    """The half days of any of these spans, in turn; spans that touch are one."""
    joined: list[tuple[int, int]] = []
    for first, end in sorted(spans):
        if joined and first <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((first, end))
    return tuple(joined)


def count_halves(spans: HalfDays) -> int:
    """How many half days there are in spans that don't touch."""
    return sum(end - first for first, end in spans)


def days_with(spans: HalfDays) -> int:
    """How many days have one of these half days at least."""
    day = rounding.day_of_half
    return count_halves(together((day(first), day(end - 1) + 1) for first, end in spans))


def gaps(spans: HalfDays, end: int) -> HalfDays:
    """The half days before `end` that are in none of the spans."""
    leaves = (0, *(gone for _, gone in spans))
    comes = (*(come for come, _ in spans), end)
    return tuple(gap for gap in zip(leaves, comes, strict=True) if gap[0] < gap[1])
