"""The order of work as an answer prints it."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, get_args

from msgspec import UNSET, Struct, UnsetType

from service.core.labor.sequencing.open_trench import TrenchStretches
from service.core.labor.sequencing.phase_time import PhaseTime
from service.core.labor.sequencing.phases import OrderedCrew, Phases
from service.core.labor.sequencing.weather import WeatherAllowance
from service.core.measure import UnitSet, number
from service.core.rounding import HALF_DAY, day_of_half
from service.operations.answer_figures import Hours, Length
from service.operations.quoting.measures import measure_of, plain

Half = Literal["morning", "afternoon"]
HALVES: tuple[Half, ...] = get_args(Half)


class PhaseCrewAnswer(Struct, frozen=True):
    """Days of one crew in one phase."""

    crew: str
    days: str


class PhaseMachineAnswer(Struct, frozen=True):
    """Hours of one machine in one phase, and the working days between which it is needed."""

    machine: str
    hours: Hours
    first_day: int
    last_day: int


class PhaseAnswer(Struct, frozen=True):
    """One phase of the work. `materials` are items that must be on site by `start_day`; `after`
    is what must be finished first. Days are working days from 1."""

    phase: str
    title: str
    hours: Hours
    crews: tuple[PhaseCrewAnswer, ...]
    machines: tuple[PhaseMachineAnswer, ...]
    materials: tuple[str, ...]
    after: tuple[str, ...]
    start_day: int
    finish_day: int
    critical: bool
    how: tuple[str, ...]


class TrenchAnswer(Struct, frozen=True):
    """Stretches in which a wall's trench is dug, built and backfilled, because rain ruins an open
    cut."""

    wall: str
    stretches: int
    length: Length
    open_days: str
    how: tuple[str, ...]


class WeatherAnswer(Struct, frozen=True):
    """Working days with those lost to weather: expected, and not exceeded four times of five."""

    lost_day_probability: str
    working_days: str
    expected_days: str
    likely_days: int
    how: tuple[str, ...]


class AwayAnswer(Struct, frozen=True):
    """Half days in a row, the first and the last one named, on which nobody of a crew is there.
    Nobody is paid for them."""

    start_day: int
    start_half: Half
    finish_day: int
    finish_half: Half
    days: str


class OrderCrewAnswer(Struct, frozen=True):
    """One crew in the order of work: the days for which it is paid, as in the price, and when it is
    away. The two make up the working days."""

    crew: str
    title: str
    days: str
    away: tuple[AwayAnswer, ...]


class OrderAnswer(Struct, frozen=True):
    """In which order the work is done, and how long it takes."""

    working_days: str
    crews: tuple[OrderCrewAnswer, ...]
    phases: tuple[PhaseAnswer, ...]
    trenches: tuple[TrenchAnswer, ...]
    weather: WeatherAnswer | UnsetType = UNSET


def order_answer(order: Phases, units: UnitSet) -> OrderAnswer:
    """The order of work of the answer."""
    return OrderAnswer(
        working_days=plain(order.working_days),
        crews=tuple(map(_crew, order.crews)),
        phases=tuple(map(_phase, order.phases)),
        trenches=tuple(_trench(stretches, units) for stretches in order.stretches),
        weather=_weather(order.weather) if order.weather else UNSET,
    )


def _crew(crew: OrderedCrew) -> OrderCrewAnswer:
    return OrderCrewAnswer(
        crew=crew.crew,
        title=crew.title,
        days=plain(crew.days),
        away=tuple(_away(first, end - 1) for first, end in crew.away),
    )


def _away(first: int, last: int) -> AwayAnswer:
    """Half days from one to another, both counted, from 0 at the morning of day 1."""
    return AwayAnswer(
        start_day=day_of_half(first) + 1,
        start_half=HALVES[first % 2],
        finish_day=day_of_half(last) + 1,
        finish_half=HALVES[last % 2],
        days=plain(Decimal(last - first + 1) * HALF_DAY),
    )


def _phase(phase: PhaseTime) -> PhaseAnswer:
    return PhaseAnswer(
        phase=phase.phase,
        title=phase.title,
        hours=plain(phase.hours),
        crews=tuple(
            PhaseCrewAnswer(crew=days.crew, days=plain(days.days)) for days in phase.crew_days
        ),
        machines=tuple(
            PhaseMachineAnswer(
                machine=machine.machine,
                hours=plain(machine.hours),
                first_day=machine.first_day,
                last_day=machine.last_day,
            )
            for machine in phase.machines
        ),
        materials=tuple(line.item for line in phase.materials),
        after=phase.after,
        start_day=phase.start_day,
        finish_day=phase.finish_day,
        critical=phase.critical,
        how=phase.how,
    )


def _trench(stretches: TrenchStretches, units: UnitSet) -> TrenchAnswer:
    return TrenchAnswer(
        wall=stretches.wall,
        stretches=stretches.count,
        length=measure_of(stretches.length_m, "length", units),
        open_days=number(float(stretches.open_days)),
        how=stretches.how,
    )


def _weather(weather: WeatherAllowance) -> WeatherAnswer:
    return WeatherAnswer(
        lost_day_probability=plain(weather.lost_day_probability),
        working_days=plain(weather.working_days),
        expected_days=plain(weather.expected_days),
        likely_days=weather.likely_days,
        how=weather.how,
    )
