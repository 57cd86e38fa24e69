"""The order of work: phases with their hours, days, machines and materials, start and finish.

Days are working days of the crews from 1; days lost to weather come on top, as an allowance over
the whole job. Walls are built one after another as crews come free; a wall's trench is dug, built
and backfilled stretch by stretch, no more of it open than the rules allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from service.core import rounding
from service.core.job.fact import Assumption, Fact, Facts
from service.core.job.phase import DEFAULT_PHASE, OPEN_PHASES, PHASES, OrderRules, Phase
from service.core.job.rates import Rates
from service.core.labor.crew_stay import HalfDays, gaps
from service.core.labor.hours import Labor, MachineChoice, TimedWork
from service.core.labor.labor import labor_of
from service.core.labor.machine_time import HeldMachine, hold_machines
from service.core.labor.phase_work import (
    NO_DAYS,
    NOTHING_THERE,
    MachineUse,
    OrderedWall,
    PhaseWork,
    WorkByPlace,
    crew_work,
    is_daily,
    lines_by_phase,
    machine_work,
    phase_of,
    work_by_place,
)
from service.core.labor.sequencing.crew_phases import CrewOrder, crew_days, order_crews
from service.core.labor.sequencing.open_trench import TrenchStretches, cut_into_stretches
from service.core.labor.sequencing.phase_span import PhaseSpans, schedule_spans
from service.core.labor.sequencing.phase_time import (
    MachineDays,
    PhaseParts,
    PhaseTime,
    machine_days,
    time_phase,
)
from service.core.labor.sequencing.weather import WeatherAllowance, schedule_weather
from service.core.measure import TRACE_DIGITS, UnitSet, number
from service.core.money import plain, total_of
from service.core.takeoff.quantities import QuantityLine


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
class OrderedCrew:
    """A crew's paid days of the order, and its half days on which nobody of it is there, counted
    from 0 at the morning of day 1."""

    crew: str
    title: str
    days: Decimal
    away: HalfDays


@dataclass(frozen=True, slots=True, kw_only=True)
class Phases:
    """The order of work. `daily_hours` come with the days and belong to no phase: with the hours
    of the phases they make the labor hours of the quote. `labor` has the days of the order of work.
    Each of the `crews` is there or away on each working day. `machines` are over the whole job."""

    labor: Labor
    phases: tuple[PhaseTime, ...]
    daily_hours: Decimal
    working_days: Decimal
    crews: tuple[OrderedCrew, ...]
    machines: tuple[MachineDays, ...]
    stretches: tuple[TrenchStretches, ...]
    weather: WeatherAllowance | None
    assumptions: tuple[Assumption, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """Work in its order, before anything is said of its days and phases. `machines` are over the
    whole job, `held` are the days for which they are there. `choice` is set where machines were
    chosen."""

    timed: TimedWork
    machines: tuple[MachineDays, ...]
    held: tuple[HeldMachine, ...]
    order: WorkOrder
    work: tuple[PhaseWork, ...]
    spans: PhaseSpans
    crews: CrewOrder
    stretches: tuple[TrenchStretches, ...]
    choice: MachineChoice | None = None


def order_work(timed: TimedWork, rates: Rates, order: WorkOrder, units: UnitSet) -> Ordered:
    """Put the work of a quote in order: hours as timed.

    Raises QuoteFaultsError (`walls-wait-for-each-other`).
    """
    work = (
        *crew_work(timed, rates, order.task_phases, order.walls),
        *machine_work(order.machines, order.walls),
    )
    done = work_by_place(work)
    stretches = tuple(_stretches(done, order, units))
    spans = schedule_spans(done, order.walls, {trench.wall: trench.count for trench in stretches})
    crews = order_crews(rates, done, spans, stretches)
    machines = machine_days(order.machines, work, spans)
    needs = {each.machine: each.needed for each in machines}
    return Ordered(
        timed=timed,
        machines=machines,
        held=hold_machines(timed.machine_tasks, rates, needs),
        order=order,
        work=work,
        spans=spans,
        crews=crews,
        stretches=stretches,
    )


def tell_phases(ordered: Ordered, rates: Rates, lines: Sequence[QuantityLine]) -> Phases:
    """The labor, and what is done, needed and waited for in each phase; `lines` as taken off."""
    order, crews = ordered.order, ordered.crews
    labor = labor_of(ordered.timed, rates, crews.stays, ordered.held)
    last = max(span.finish for span in ordered.spans.values())
    ends = (rounding.half_days_up(last), *(stay.end for stay in crews.stays.values()))
    working, rules = max(ends), order.rules
    return Phases(
        labor=replace(labor, choice=ordered.choice),
        phases=_phase_times(ordered, rates, lines),
        daily_hours=total_of(task.hours for task in labor.tasks if is_daily(task)),
        working_days=working,
        crews=tuple(_ordered_crews(rates, crews, working)),
        machines=ordered.machines,
        stretches=ordered.stretches,
        weather=schedule_weather(working, rules.lost_day_probability) if rules else None,
        assumptions=tuple(_assumptions(labor, rates, order)),
    )


def _ordered_crews(rates: Rates, order: CrewOrder, end: Decimal) -> Iterator[OrderedCrew]:
    """The crews with something to do, in the order of the rates."""
    for crew in rates.crews:
        if stay := order.stays.get(crew.id):
            gone = gaps(stay.there, rounding.half_days_begun(end))
            yield OrderedCrew(crew=crew.id, title=crew.title, days=stay.days, away=gone)


def trench_facts(phases: Phases, units: UnitSet) -> Mapping[str, Facts]:
    """By wall: a stretch of trench that stays open for longer than the rules ask for."""
    return {
        trench.wall: {
            "trench_open_too_long": Fact(
                value=float(trench.longer_than_asked),
                words=f"Stretches of {units.show(trench.length_m, 'length')} stay open for "
                f"{number(float(trench.open_days), TRACE_DIGITS)} days.",
            )
        }
        for trench in phases.stretches
    }


def _stretches(done: WorkByPlace, order: WorkOrder, units: UnitSet) -> Iterator[TrenchStretches]:
    """The stretches of every wall, where there are rules for them."""
    rules = order.rules
    if rules is None:
        return
    for wall in order.walls:
        there = [done.get((wall.name, phase), NOTHING_THERE) for phase in OPEN_PHASES]
        if days := sum((work.days for work in there), NO_DAYS):
            yield cut_into_stretches(wall.name, wall.length_m, days, rules, units)


def _phase_times(
    ordered: Ordered, rates: Rates, lines: Sequence[QuantityLine]
) -> tuple[PhaseTime, ...]:
    """Every phase with something to do or something to have on site, in the order of work."""
    timed, order = ordered.timed, ordered.order
    materials = lines_by_phase(lines, order.item_phases)
    crews_by_phase = crew_days(timed, rates, order.task_phases, ordered.crews)
    tasks = [task for task in timed.tasks if not is_daily(task)]
    times: list[PhaseTime] = []
    for phase in PHASES:
        parts = PhaseParts(
            tasks=tuple(t for t in tasks if phase_of(t.task, order.task_phases) == phase),
            crews=crews_by_phase[phase],
            machines=tuple(use for use in order.machines if use.phase == phase),
            materials=materials[phase],
            work=tuple(piece for piece in ordered.work if piece.phase == phase),
        )
        if not parts.is_empty:
            after = tuple(before.phase for before in times[-1:])
            times.append(time_phase(phase, parts, ordered.spans, after))
    return tuple(times)


def _rule_assumptions(rules: OrderRules) -> Iterator[Assumption]:
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


def _assumptions(labor: Labor, rates: Rates, order: WorkOrder) -> Iterator[Assumption]:
    """Rules that are an allowance, and work that was put into a phase for want of a word."""
    if order.rules:
        yield from _rule_assumptions(order.rules)
    if rates.waiting == "elsewhere":
        why = "half days without work of their crew are not paid: people have other work"
        yield Assumption(field="/rates/waiting", value=rates.waiting, why=why)
    if len(order.walls) > 1:
        why = "walls are built in the order of the request, lower tiers first"
        yield Assumption(field="/walls", value="in this order", why=why)
    for task in labor.tasks:
        if not is_daily(task) and task.task not in order.task_phases:
            why = f"the rates give the task {task.task} no phase"
            yield Assumption(field="/rates/tasks/phase", value=DEFAULT_PHASE, why=why)
