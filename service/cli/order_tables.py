"""Machines and the order of work as tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from msgspec import UnsetType
from rich.console import Console

from service.cli.columns import Column, print_columns, print_steps, print_text
from service.core.labor.fit import NOT_CHOSEN
from service.core.money import counted
from service.operations.quoting.answer import LaborAnswer
from service.operations.quoting.order_answer import AwayAnswer, OrderAnswer, PhaseAnswer
from service.operations.readable import hours_text, length_text, lengths_read


def print_machines(console: Console, labor: LaborAnswer, *, how: bool) -> None:
    """Machines with their hours and the days for which each is there; tasks done without one."""
    if not isinstance(labor.choice, UnsetType):
        first, *_, last = labor.choice.how
        print_text(console, f"Machines {first}: {labor.choice.cost}; {last}")
    for line in _replaced(labor):
        print_text(console, line)
    machines = labor.equipment
    if not machines:
        return
    columns = (
        Column(head="machine", cells=[machine.title for machine in machines], words=True),
        Column(head="hours", cells=[hours_text(machine.hours) for machine in machines]),
        Column(head="days there", cells=[str(machine.days) for machine in machines]),
    )
    print_columns(console, "Machines", columns)
    if how:
        steps = [(machine.title, machine.how) for machine in machines]
        print_steps(console, "How the time of machines is found", steps)


def _replaced(labor: LaborAnswer) -> Iterator[str]:
    """Tasks that are done in place of others, with every reason on the way to them; those that
    have the same reasons in one sentence."""
    titles = {task.task: task.title for task in labor.tasks}
    instead = {task.task: task for task in labor.replaced}
    reasons: dict[str, list[str]] = {}
    for task in labor.replaced:
        done = task.by
        while done in instead:
            done = instead[done].by
        if done in titles and task.code != NOT_CHOSEN:
            reasons.setdefault(done, []).append(lengths_read(task.why))
    alike: dict[str, list[str]] = {}
    for done, whys in reasons.items():
        alike.setdefault("; ".join(dict.fromkeys(whys)), []).append(titles[done])
    for why, tasks in alike.items():
        yield f"{'; '.join(tasks)}, as {why}"


def print_order(
    console: Console, order: OrderAnswer, known: Mapping[str, str], *, how: bool
) -> None:
    """Phases in their order, with what must be on site by its description, which `known` has by
    item; open trenches, crews that are away, days and weather below."""
    phases = order.phases
    columns = (
        Column(head="phase", cells=[phase.title for phase in phases], words=True),
        Column(head="hours", cells=[hours_text(phase.hours) for phase in phases]),
        Column(head="days", cells=[_days(phase) for phase in phases]),
        Column(head="on site by then", cells=[_materials(x, known) for x in phases], words=True),
    )
    print_columns(console, "Order of work", columns)
    for trench in order.trenches:
        length = length_text(trench.length)
        opened = f"{trench.stretches} x {length}" if trench.stretches > 1 else f"one go, {length}"
        print_text(console, f"{trench.wall}: trench opened in {opened}")
    for crew in order.crews:
        if crew.away:
            there = counted(Decimal(crew.days), "day")
            gone = "; ".join(_away(away) for away in crew.away)
            print_text(console, f"{crew.title}: {there}, away {gone}")
    print_text(console, f"{_days_in_all(order)}{_weather(order)}")
    if how:
        steps = [(phase.title, phase.how) for phase in phases]
        steps += [(f"Trench of {trench.wall}", trench.how) for trench in order.trenches]
        print_steps(console, "How the order is found", steps)


def _days_in_all(order: OrderAnswer) -> str:
    """Working days, and those of the crews where they are another figure."""
    working, paid = Decimal(order.working_days), sum(Decimal(crew.days) for crew in order.crews)
    said = counted(working, "working day")
    return said if paid == working else f"{said}, {counted(Decimal(paid), 'paid crew day')}"


def _weather(order: OrderAnswer) -> str:
    weather = order.weather
    if isinstance(weather, UnsetType):
        return ""
    return (
        f"; with weather {weather.expected_days} expected, {weather.likely_days} not exceeded four "
        "times of five (an allowance)"
    )


def _away(away: AwayAnswer) -> str:
    """Half days in a row: whole days by their number, others with morning and afternoon."""
    first, last = away.start_day, away.finish_day
    if (away.start_half, away.finish_half) == ("morning", "afternoon"):
        return f"day {first}" if first == last else f"days {first} to {last}"
    start, finish = f"{away.start_half} of day {first}", f"{away.finish_half} of day {last}"
    return start if start == finish else f"{start} to {finish}"


def _days(phase: PhaseAnswer) -> str:
    start, finish = phase.start_day, phase.finish_day
    return f"{start}" if start == finish else f"{start} to {finish}"


def _materials(phase: PhaseAnswer, known: Mapping[str, str]) -> str:
    return "; ".join(known.get(item, item) for item in phase.materials)
