"""Machines and the order of work as tables."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from msgspec import UnsetType
from rich.console import Console

from service.cli.columns import Column, print_columns, print_steps, print_text
from service.cli.figures import hours_text, length_text
from service.core.labor.fit import NOT_CHOSEN
from service.core.money import counted
from service.operations.quoting.answer import LaborAnswer
from service.operations.quoting.order_answer import OrderAnswer, PhaseAnswer


def print_machines(console: Console, labor: LaborAnswer, *, how: bool) -> None:
    """Machines with their hours and the days for which each is there; tasks done without one."""
    if not isinstance(labor.choice, UnsetType):
        first, *_, last = labor.choice.how
        print_text(console, f"Machines {first}; {last}")
    for task in labor.replaced:
        if task.code == NOT_CHOSEN:
            continue
        print_text(console, f"{task.task} is done as {task.by}: {task.why}")
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


def print_order(
    console: Console, order: OrderAnswer, known: Mapping[str, str], *, how: bool
) -> None:
    """Phases in their order, with what must be on site by its description, which `known` has by
    item; weather and open trenches below."""
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
        print_text(console, f"{trench.wall}: trench opened in {trench.stretches} x {length}")
    if not isinstance(order.weather, UnsetType):
        weather = order.weather
        print_text(
            console,
            f"{counted(Decimal(order.working_days), 'working day')}; with weather "
            f"{weather.expected_days} expected, {weather.likely_days} not exceeded four times of "
            "five (an allowance)",
        )
    if how:
        steps = [(phase.title, phase.how) for phase in phases]
        steps += [(f"Trench of {trench.wall}", trench.how) for trench in order.trenches]
        print_steps(console, "How the order is found", steps)


def _days(phase: PhaseAnswer) -> str:
    start, finish = phase.start_day, phase.finish_day
    return f"{start}" if start == finish else f"{start} to {finish}"


def _materials(phase: PhaseAnswer, known: Mapping[str, str]) -> str:
    return "; ".join(known.get(item, item) for item in phase.materials)
