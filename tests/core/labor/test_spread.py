"""The range of a sum of hours: each task's own spread, and what all of them have in common.

Expected figures are worked by hand beside each test; 0.8416 is the normal distribution's point.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from service.core.job.measured import Measured
from service.core.job.rates import ProductionTask, Rates, Spread
from service.core.labor.hours import Labor
from service.core.labor.spread import spread_assumptions
from service.core.shares import Shares
from service.core.three_point import ThreePoint, low_and_high, one_figure
from tests.given.machines import machine_rates, machine_task, three, worked
from tests.given.money import rates, scheduled, task

ONE: dict[Measured, Shares] = {"walls": (("wall-1", 1.0),)}


def job_task(name: str, hours: ThreePoint) -> ProductionTask:
    """A task done once, by the one wall there is."""
    return replace(task(name, by="walls"), hours_per_unit=hours)


def with_share(of: Rates, share: str) -> Rates:
    """The rates with what hours have in common."""
    return replace(of, spread=Spread(share=Decimal(share), source="a test"))


def labor_of(share: str, *hours: ThreePoint) -> Labor:
    """Labor of tasks with these hours."""
    tasks = [job_task(f"task_{place}", each) for place, each in enumerate(hours)]
    return scheduled(with_share(rates(*tasks), share), ONE)


def points(labor: Labor) -> tuple[Decimal, Decimal, Decimal]:
    """Low, expected and high hours of the sum."""
    return labor.labor_hours_low, labor.labor_hours, labor.labor_hours_high


def decimals(*figures: str) -> tuple[Decimal, ...]:
    """The figures as written."""
    return tuple(map(Decimal, figures))


def test_schedule_adds_the_share_of_the_sum_to_the_variances_of_its_tasks() -> None:
    """60 h and 68.25 h with deviations of 14.94 / 6 = 2.49 h and 19.92 / 6 = 3.32 h are 128.25 h
    with 4.15 h. With 0.12 x 128.25 = 15.39 h in common: (17.2225 + 236.8521)^0.5 = 15.9397 h, and
    0.8416 of it 13.4149 h, 10.5 % of the sum."""
    labor = labor_of("0.12", three("52.53", "60", "67.47"), three("58.29", "68.25", "78.21"))
    assert points(labor) == decimals("114.84", "128.25", "141.66")
    assert float(labor.labor_hours_high / labor.labor_hours) == pytest.approx(1.105, abs=5e-4)


def test_schedule_keeps_the_own_spread_of_a_task() -> None:
    """A task of 60 h with a deviation of 2.49 h has 60 -/+ 2.0956 h, whatever the share."""
    (found,) = labor_of("0.12", three("52.53", "60", "67.47")).tasks
    assert (found.hours_low, found.hours_high) == decimals("57.90", "62.10")


@pytest.mark.parametrize("parts", [("100",), ("25", "25", "25", "25"), ("1", "99")])
def test_schedule_gives_a_total_of_single_figures_a_range(parts: Sequence[str]) -> None:
    """100 h of single figures have 0.12 x 100 = 12 h in common: -/+ 10.0992 h, in one task or in
    several; a task of one figure has none."""
    labor = labor_of("0.12", *map(one_figure, map(Decimal, parts)))
    assert points(labor) == decimals("89.90", "100", "110.10")
    assert all(t.hours_low == t.hours == t.hours_high for t in labor.tasks)


def test_schedule_without_spread_has_that_of_the_tasks_alone() -> None:
    """Rates that don't say what hours have in common: 128.25 -/+ 0.8416 x 4.15 = 3.4926 h."""
    tasks = (
        job_task("a", three("52.53", "60", "67.47")),
        job_task("b", three("58.29", "68.25", "78.21")),
    )
    assert points(scheduled(rates(*tasks), ONE)) == decimals("124.76", "128.25", "131.74")


def test_schedule_takes_the_share_once_and_never_through_another_sum() -> None:
    """A machine's two tasks of 24 h with 4 h each: (32 + 4.8^2)^0.5 = 7.4189 h, 48 -/+ 6.2437 h.
    Its operator's 48 h and the crew's 20 h: (32 + 6.8^2)^0.5 = 8.8453 h, 68 -/+ 7.4442 h; through
    the machine's sum it would be (55.04 + 46.24)^0.5 = 10.0638 h."""
    rate = three("1", "2", "3")
    of = machine_rates(
        machine_task(hours=rate),
        machine_task("trim", hours=rate),
        tasks=[replace(task("watch", by="job"), hours_per_unit=one_figure(Fraction(20)))],
    )
    labor = worked(with_share(of, "0.1"))
    (time,) = labor.equipment
    assert (time.hours_low, time.hours, time.hours_high) == decimals("41.76", "48", "54.24")
    assert points(labor) == decimals("60.56", "68", "75.44")
    assert time.how[1] == (
        "deviation: about 5.65685424949 h of its tasks, 0.1 x 48 h in common, root "
        "of the squares' sum about 7.4188947964 h; -/+ 0.8416 x the deviation: 41.76 to 54.24 h"
    )


def test_low_and_high_are_not_below_nothing() -> None:
    """1 h with a deviation of 2 h is not below 0 h in one case of five: 0 and 1 + 1.6832 h."""
    assert low_and_high(Fraction(1), Fraction(4)) == (Fraction(0), Fraction(Decimal("2.6832")))


def test_spread_assumptions_say_the_share_and_whose_it_is() -> None:
    """A share stands with its source; rates without one have 0, and the answer says so."""
    (stated,) = spread_assumptions(with_share(rates(), "0.12"))
    assert (stated.field, stated.value) == ("/rates/spread/share", "0.12")
    assert stated.why.endswith(": a test")
    (missing,) = spread_assumptions(rates())
    assert (missing.field, missing.value) == ("/rates/spread/share", "0")
    assert "don't say" in missing.why
    assert not tuple(spread_assumptions(None))
