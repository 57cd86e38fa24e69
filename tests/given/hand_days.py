"""The order of work by hand: phases in a line, cut into the days of a crew of three.

A phase takes as long as the crew's hours in it, or as a machine that works 8 h a day beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction

from tests.given.hand_page import Figure

# Hours of each task, by phase, in the order in which they are worked.
Phases = Mapping[str, Mapping[str, Decimal]]
# The machines, each with the tasks that it does.
Driven = Mapping[str, tuple[str, ...]]
HALF_DAY = Decimal("9.96")  # 3 people x 8 h x 0.83 / 2
TRAVEL, CLEAN_UP = Decimal("1.50"), Decimal("0.75")  # of each day begun
WORK_OF_A_DAY = 2 * HALF_DAY - TRAVEL - CLEAN_UP
MACHINE_DAY = 8  # hours
STRETCH = ("trench_and_pad", "base_course", "backfill_base", "build_and_backfill")


def work_page(phases: Phases, driven: Driven, *, stretches: int = 1) -> dict[str, Figure]:
    """Hours and days of the crew, and of the machines by the tasks that each drives."""
    tasks = {task: of for each in phases.values() for task, of in each.items()}
    took = phase_days(phases, driven)
    days = crew_days(sum(took.values(), Fraction(0)))
    begun, spans = math.ceil(days), worked_on(took, stretches)
    page: dict[str, Figure] = {f"hours {task}": of for task, of in tasks.items()}
    page |= {"hours travel": TRAVEL * begun, "hours daily_clean_up": CLEAN_UP * begun}
    page |= {"days crew": days, "paid crew": 24 * days}
    for machine, names in driven.items():
        need = [spans[phase] for phase, each in phases.items() if each.keys() & set(names)]
        page[f"machine hours {machine}"] = sum((tasks[name] for name in names), Decimal(0))
        page[f"machine days {machine}"] = max(b for _, b in need) - min(a for a, _ in need) + 1
    return page


def phase_days(phases: Phases, driven: Driven) -> dict[str, Fraction]:
    """How long each phase takes, in days without rounding: people and machines side by side."""
    return {
        phase: max(
            Fraction(sum(each.values(), Decimal(0))) / Fraction(WORK_OF_A_DAY),
            *(machine_days(each, names) for names in driven.values()),
        )
        for phase, each in phases.items()
    }


def machine_days(hours: Mapping[str, Decimal], names: tuple[str, ...]) -> Fraction:
    """How long a machine works on its tasks of one phase."""
    worked = sum((of for task, of in hours.items() if task in names), Decimal(0))
    return Fraction(worked) / MACHINE_DAY


def crew_days(finish: Fraction) -> Decimal:
    """The half days until work ends, with the daily hours of the last day before its end."""
    whole = math.ceil(finish) - 1
    last = (finish - whole) * Fraction(WORK_OF_A_DAY) + Fraction(TRAVEL + CLEAN_UP)
    return whole + Decimal(math.ceil(last / Fraction(HALF_DAY))) / 2


def worked_on(took: Mapping[str, Fraction], stretches: int) -> dict[str, tuple[int, int]]:
    """First and last day of each phase; a trench is opened in so many equal stretches."""
    found: dict[str, tuple[int, int]] = {}
    done = Fraction(0)
    for phase, days in _in_turn(took, stretches):
        begin = math.floor(done) + 1
        done += days
        first, _ = found.get(phase, (begin, begin))
        found[phase] = (first, math.ceil(done))
    return found


def _in_turn(took: Mapping[str, Fraction], stretches: int) -> Iterator[tuple[str, Fraction]]:
    names = list(took)
    begin, end = names.index(STRETCH[0]), names.index(STRETCH[-1]) + 1
    yield from ((name, took[name]) for name in names[:begin])
    for _ in range(stretches):
        yield from ((name, took[name] / stretches) for name in names[begin:end])
    yield from ((name, took[name]) for name in names[end:])
