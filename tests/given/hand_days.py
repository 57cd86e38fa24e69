"""The order of work by hand: hours in a line, cut into the days of a crew of three.

It leaves out that a machine may take longer than the people beside it; the job that has such a
machine says so on its page.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from decimal import Decimal

from tests.given.hand_page import Figure

# Hours of each task, by phase, in the order in which they are worked.
Phases = Mapping[str, Mapping[str, Decimal]]
HALF_DAY = Decimal("9.96")  # 3 people x 8 h x 0.83 / 2
TRAVEL, CLEAN_UP = Decimal("1.50"), Decimal("0.75")  # of each day begun
WORK_OF_A_DAY = 2 * HALF_DAY - TRAVEL - CLEAN_UP
STRETCH = ("trench_and_pad", "base_course", "backfill_base", "build_and_backfill")


def work_page(
    phases: Phases, driven: Mapping[str, tuple[str, ...]], *, stretches: int = 1
) -> dict[str, Figure]:
    """Hours and days of the crew, and of the machines by the tasks that each drives."""
    tasks = {task: of for each in phases.values() for task, of in each.items()}
    days = crew_days(sum(tasks.values(), Decimal(0)))
    begun, spans = math.ceil(days), worked_on(phases, stretches)
    page: dict[str, Figure] = {f"hours {task}": of for task, of in tasks.items()}
    page |= {"hours travel": TRAVEL * begun, "hours daily_clean_up": CLEAN_UP * begun}
    page |= {"days crew": days, "paid crew": 24 * days}
    for machine, names in driven.items():
        need = [spans[phase] for phase, each in phases.items() if each.keys() & set(names)]
        page[f"machine hours {machine}"] = sum((tasks[name] for name in names), Decimal(0))
        page[f"machine days {machine}"] = max(b for _, b in need) - min(a for a, _ in need) + 1
    return page


def crew_days(worked: Decimal) -> Decimal:
    """The fewest half days that hold the work and the daily hours of each day begun."""
    daily = TRAVEL + CLEAN_UP
    halves = next(
        n for n in itertools.count(1) if n * HALF_DAY >= worked + daily * math.ceil(n / 2)
    )
    return Decimal(halves) / 2


def worked_on(phases: Phases, stretches: int) -> dict[str, tuple[int, int]]:
    """First and last day of each phase; a trench is opened in so many equal stretches."""
    found: dict[str, tuple[int, int]] = {}
    done = Decimal(0)
    for phase, hours in _in_turn(phases, stretches):
        begin = math.floor(done / WORK_OF_A_DAY) + 1
        done += hours
        first, _ = found.get(phase, (begin, begin))
        found[phase] = (first, math.ceil(done / WORK_OF_A_DAY))
    return found


def _in_turn(phases: Phases, stretches: int) -> Iterator[tuple[str, Decimal]]:
    whole = {phase: sum(each.values(), Decimal(0)) for phase, each in phases.items()}
    names = list(whole)
    begin, end = names.index(STRETCH[0]), names.index(STRETCH[-1]) + 1
    yield from ((name, whole[name]) for name in names[:begin])
    for _ in range(stretches):
        yield from ((name, whole[name] / stretches) for name in names[begin:end])
    yield from ((name, whole[name]) for name in names[end:])
