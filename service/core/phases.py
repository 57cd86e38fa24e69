"""The order of work: phases with their hours, days, machines and materials, start and finish.

Days are working days of the crews from 1; days lost to weather come on top, as an allowance over
the whole job. Walls are built one after another as crews come free; a wall's trench is dug, built
and backfilled stretch by stretch, no more of it open than the rules allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core import rounding
from service.core.facts import Fact, Facts
from service.core.jurisdiction import Assumption
from service.core.measure import UnitSet
from service.core.money import plain, total_of
from service.core.open_trench import TrenchStretches, cut_into_stretches
from service.core.phase import (
    DEFAULT_PHASE,
    OPEN_PHASES,
    PHASE_TITLES,
    PHASES,
    WALL_PHASES,
    OrderRules,
    Phase,
)
from service.core.phase_span import Span, Spans, schedule_spans
from service.core.phase_work import (
    CrewDays,
    MachineUse,
    OrderedWall,
    Work,
    crew_days,
    crew_work,
    days_of,
    is_daily,
    lines_by_phase,
    machine_key,
    machine_work,
    phase_of,
)
from service.core.rates import Rates
from service.core.results import Labor, QuantityLine, TaskHours
from service.core.weather import WeatherAllowance, schedule_weather


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkOrder:
    """What the order of work rests on beside hours and quantities.

    `task_phases` are phases by task id, `item_phases` by item (`phase_work.material_phases`): what
    they don't name is counted with building. Without `rules` there is no weather allowance and
    every trench is opened whole.
    """

    walls: tuple[OrderedWall, ...]
    task_phases: Mapping[str, Phase]
    item_phases: Mapping[str, Phase]
    machines: tuple[MachineUse, ...] = ()
    rules: OrderRules | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPhase:
    """A phase at one wall. Days count from 1 and are inclusive; where a trench is done stretch by
    stretch, they run from the first stretch to the last."""

    wall: str
    start_day: int
    finish_day: int
    critical: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineDays:
    """A machine's hours, and the first and last working day on which it is needed."""

    machine: str
    title: str
    hours: Decimal
    first_day: int
    last_day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseTime:
    """One phase over the whole job. `hours` are person-hours; `crew_days` half days of each crew;
    `materials` must be on site by `start_day`; `after` is what must be finished first, at each
    wall or over all of them. It is critical where a delay of it delays the whole job."""

    phase: Phase
    title: str
    hours: Decimal
    crew_days: tuple[CrewDays, ...]
    machines: tuple[MachineDays, ...]
    materials: tuple[QuantityLine, ...]
    after: tuple[Phase, ...]
    start_day: int
    finish_day: int
    critical: bool
    walls: tuple[WallPhase, ...]
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Phases:
    """The order of work. `daily_hours` come with the days and belong to no phase: with the hours
    of the phases they make the labor hours of the quote. `machines` are over the whole job."""

    phases: tuple[PhaseTime, ...]
    daily_hours: Decimal
    working_days: Decimal
    machines: tuple[MachineDays, ...]
    stretches: tuple[TrenchStretches, ...]
    weather: WeatherAllowance | None
    assumptions: tuple[Assumption, ...]


def schedule_phases(
    labor: Labor, rates: Rates, lines: Sequence[QuantityLine], order: WorkOrder, units: UnitSet
) -> Phases:
    """Put the work of a quote in order: hours as scheduled, `lines` as taken off.

    Raises QuoteFaultsError (`walls-wait-for-each-other`).
    """
    work = [
        *crew_work(labor, rates, order.task_phases, order.walls),
        *machine_work(order.machines, order.walls),
    ]
    stretches = tuple(_stretches(work, order, units))
    spans = schedule_spans(work, order.walls, {each.wall: each.count for each in stretches})
    times = _phase_times(labor, rates, lines, order, (work, spans))
    last = max((span.finish for span in spans.values()), default=Fraction(0))
    working, rules = rounding.half_days_up(last), order.rules
    return Phases(
        phases=times,
        daily_hours=total_of(task.hours for task in labor.tasks if is_daily(task)),
        working_days=working,
        machines=_machine_days(order.machines, work, spans),
        stretches=stretches,
        weather=schedule_weather(working, rules.lost_day_probability) if rules else None,
        assumptions=tuple(_assumptions(labor, order)),
    )


def trench_facts(phases: Phases, units: UnitSet) -> Mapping[str, Facts]:
    """By wall: a stretch of trench that stays open for longer than the rules ask for."""
    return {
        each.wall: {
            "trench_open_too_long": Fact(
                value=float(each.longer_than_asked),
                words=f"{units.show(each.length_m, 'length')} are open for "
                f"{plain(rounding.half_days_up(each.open_days))} days.",
            )
        }
        for each in phases.stretches
    }


def _stretches(work: Sequence[Work], order: WorkOrder, units: UnitSet) -> Iterator[TrenchStretches]:
    """The stretches of every wall, where there are rules for them."""
    for wall in order.walls if order.rules else ():
        days = sum(
            (
                days_of(w for w in work if w.place == wall.name and w.phase == phase)
                for phase in OPEN_PHASES
            ),
            Fraction(0),
        )
        if order.rules and days:
            yield cut_into_stretches(wall.name, wall.length_m, days, order.rules, units)


def _phase_times(
    labor: Labor,
    rates: Rates,
    lines: Sequence[QuantityLine],
    order: WorkOrder,
    done: tuple[Sequence[Work], Spans],
) -> tuple[PhaseTime, ...]:
    """Every phase with something to do or something to have on site, in the order of work."""
    work, spans = done
    materials = lines_by_phase(lines, order.item_phases)
    half_days = crew_days(labor, rates, order.task_phases)
    times: list[PhaseTime] = []
    for phase in PHASES:
        here = [each for each in work if each.phase == phase]
        if here or materials[phase]:
            uses = [use for use in order.machines if use.phase == phase]
            tasks = [
                task
                for task in labor.tasks
                if not is_daily(task) and phase_of(task, order.task_phases) == phase
            ]
            places = dict.fromkeys(each.place for each in here) or dict.fromkeys(
                place for place, other in spans if other == phase
            )
            held = [spans[place, phase] for place in places]
            start, finish = min(s.first_day for s in held), max(s.last_day for s in held)
            after = tuple(before.phase for before in times[-1:])
            times.append(
                PhaseTime(
                    phase=phase,
                    title=PHASE_TITLES[phase],
                    hours=total_of(task.hours for task in tasks),
                    crew_days=half_days[phase],
                    machines=_machine_days(uses, here, spans),
                    materials=materials[phase],
                    after=after,
                    start_day=start,
                    finish_day=finish,
                    critical=bool(here) and any(span.critical for span in held),
                    walls=_wall_phases(here, phase, spans),
                    how=tuple(_how(tasks, half_days[phase], after, (start, finish))),
                )
            )
    return tuple(times)


def _wall_phases(here: Sequence[Work], phase: Phase, spans: Spans) -> tuple[WallPhase, ...]:
    """The phase wall by wall, in the order in which the walls are reached."""
    if phase not in WALL_PHASES:
        return ()
    named = dict.fromkeys(each.place for each in here if each.place is not None)
    found = sorted(((spans[name, phase], name) for name in named), key=lambda pair: pair[0].start)
    return tuple(
        WallPhase(
            wall=name,
            start_day=span.first_day,
            finish_day=span.last_day,
            critical=span.critical,
        )
        for span, name in found
    )


def _machine_days(
    uses: Sequence[MachineUse], work: Sequence[Work], spans: Spans
) -> tuple[MachineDays, ...]:
    """Machines in the order in which they are named, with the days on which they are needed."""
    found = []
    for machine in dict.fromkeys(use.machine for use in uses):
        mine = [use for use in uses if use.machine == machine]
        key = machine_key(machine)
        held: list[Span] = [spans[w.place, w.phase] for w in work if w.resource == key]
        found.append(
            MachineDays(
                machine=machine,
                title=mine[0].title,
                hours=total_of(use.hours for use in mine),
                first_day=min(span.first_day for span in held),
                last_day=max(span.last_day for span in held),
            )
        )
    return tuple(found)


def _how(
    tasks: Sequence[TaskHours],
    crews: Sequence[CrewDays],
    after: Sequence[Phase],
    days: tuple[int, int],
) -> Iterator[str]:
    """Hours, crew days and place in the order, in words."""
    if tasks:
        listed = " + ".join(f"{task.title} {plain(task.hours)} h" for task in tasks)
        total = plain(total_of(task.hours for task in tasks))
        yield listed if len(tasks) == 1 else f"{listed} = {total} h"
    for crew in crews:
        share = f"{plain(crew.days)} days" if crew.days else "within a half day already begun"
        yield f"{crew.title}: {plain(crew.hours)} h, {share}"
    first, last = days
    when = f"working day {first}" if first == last else f"working days {first} to {last}"
    waits = "".join(f", after {PHASE_TITLES[phase].lower()}" for phase in after)
    yield f"{when}{waits}"


def _assumptions(labor: Labor, order: WorkOrder) -> Iterator[Assumption]:
    """Rules that are an allowance, and work that was put into a phase for want of a word."""
    rules = order.rules
    if rules:
        yield Assumption(
            field="/rates/order/lost_day_probability",
            value=format(rules.lost_day_probability, "f"),
            why=f"an allowance for weather, not a forecast: {rules.source}",
        )
        yield Assumption(
            field="/rates/order/open_trench_days",
            value=plain(rules.open_trench_days),
            why=f"no more trench is open than is built and backfilled in that: {rules.source}",
        )
    if len(order.walls) > 1:
        why = "walls are built in the order of the request, lower tiers first"
        yield Assumption(field="/walls", value="in this order", why=why)
    for task in labor.tasks:
        if not is_daily(task) and task.task not in order.task_phases:
            why = f"the rates give the task {task.task} no phase"
            yield Assumption(field="/rates/tasks/phase", value=DEFAULT_PHASE, why=why)
