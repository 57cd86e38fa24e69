"""Crews over the order of work: when they are there, and half days of each phase."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core.fraction import Fraction
from service.core.job.phase import OPEN_PHASES, PHASES, Phase
from service.core.job.rates import Crew, Rates
from service.core.labor.crew_day import half_days_until
from service.core.labor.crew_stay import CrewStay, Presence, presences, stay_of
from service.core.labor.hours import TimedWork
from service.core.labor.phase_work import WorkByPlace, is_daily, phase_of
from service.core.labor.sequencing.open_trench import TrenchStretches
from service.core.labor.sequencing.phase_span import PhaseSpans
from service.core.money import total_of


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewDays:
    """Hours and half days of one crew in one phase."""

    crew: str
    title: str
    hours: Decimal
    days: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewOrder:
    """Where each crew is over the order of work, by crew; `present` is how long it is there in each
    phase, in working days without rounding."""

    stays: Mapping[str, CrewStay]
    present: Mapping[tuple[str, Phase], Fraction]


def order_crews(
    rates: Rates,
    done: WorkByPlace,
    spans: PhaseSpans,
    stretches: Sequence[TrenchStretches],
) -> CrewOrder:
    """Put the crews with something to do into the order of work, as `spans` have it."""
    trenches = {trench.wall: trench for trench in stretches}
    stays: dict[str, CrewStay] = {}
    present: dict[tuple[str, Phase], Fraction] = {}
    for crew in rates.crews:
        times: list[Presence] = []
        for (place, phase), here in done.items():
            there = presences(here, crew, rates.waiting)
            trench = trenches.get(place) if place and phase in OPEN_PHASES else None
            times += _repeated(there, spans[place, phase].start, trench)
            took = max((each.finish for each in there), default=Fraction(0))
            present[crew.id, phase] = present.get((crew.id, phase), Fraction(0)) + took
        if times:
            stays[crew.id] = stay_of(crew, rates.days[crew.id], times, rates.waiting)
    return CrewOrder(stays=stays, present=present)


def _repeated(
    there: Sequence[Presence], start: Fraction, trench: TrenchStretches | None
) -> Iterator[Presence]:
    """Presences of one phase at one place from the start of the job, stretch by stretch."""
    count = trench.count if trench else 1
    begins = [start + stretch * trench.open_days for stretch in range(count)] if trench else [start]
    for each in there:
        from_start, to_finish = each.start / count, each.finish / count
        for begun in begins:
            yield Presence(start=begun + from_start, finish=begun + to_finish, people=each.people)


def crew_days(
    timed: TimedWork, rates: Rates, phases: Mapping[str, Phase], order: CrewOrder
) -> Mapping[Phase, tuple[CrewDays, ...]]:
    """Half days of each crew by phase. Each phase takes what it adds to the days begun so far,
    so that the phases of a crew add up to its days as priced; a phase that fits into a half day
    already begun adds none; the last one takes what the crew waited for others."""
    by_phase: dict[Phase, list[CrewDays]] = {phase: [] for phase in PHASES}
    for crew in rates.crews:
        mine = [task for task in timed.tasks if task.who == crew.id and not is_daily(task)]
        hours = {
            phase: total_of(task.hours for task in mine if phase_of(task.task, phases) == phase)
            for phase in PHASES
        }
        for phase, days in _shared_days(crew, rates, [p for p in PHASES if hours[p]], order):
            held = CrewDays(crew=crew.id, title=crew.title, hours=hours[phase], days=days)
            by_phase[phase].append(held)
    return {phase: tuple(days_of_crews) for phase, days_of_crews in by_phase.items()}


def _shared_days(
    crew: Crew, rates: Rates, worked: Sequence[Phase], order: CrewOrder
) -> Iterator[tuple[Phase, Decimal]]:
    """The days of a crew over the phases in which it works."""
    begun, so_far = Decimal(0), Fraction(0)
    for phase in worked:
        so_far += order.present[crew.id, phase]
        upto = days = order.stays[crew.id].days
        if phase != worked[-1]:
            upto = min(half_days_until(rates.days[crew.id], so_far), days)
        yield phase, total_of((upto, -begun))
        begun = upto
