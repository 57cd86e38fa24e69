"""What sets of machines can't cost less than, and no more of them tried than that takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from service.core.job.machine import Hired, Machine
from service.core.job.rates import Rates, Waiting
from service.core.labor.choosing.choice_cost import hours_by_worker, least_cost
from service.core.labor.hours import TaskHours, TimedWork
from tests.given.machine_sets import BY_HAND, choose, chosen_by, cost, sets_of, volumes
from tests.given.machines import digger, machine_task
from tests.given.money import daily, once, task
from tests.given.phases import hours

COSTS = {"ant": cost("20"), "bee": cost("40")}
WAYS = (
    machine_task("dig", machine="ant", otherwise="dig_too"),
    machine_task("dig_too", machine="bee", otherwise="dig_by_hand"),
)


def by_machine(count: str, name: str = "digger") -> TaskHours:
    """Hours of a machine."""
    return replace(hours("dig", count, who=name), worker="machine")


def digging(machine: Machine | None = None, waiting: Waiting = "paid") -> Rates:
    """A digger at 10 an hour, 200 a day and 100 a delivery, and a crew of two at 800 a day."""
    costs = {"digger": cost("10", "200", "100")}
    fleet = (machine or digger(),)
    return replace(chosen_by(costs, machine_task(), machines=fleet), waiting=waiting)


def least(of: Rates, always: Mapping[tuple[str, str], Decimal], *work: TaskHours) -> Fraction:
    """The bound by the costs of some rates."""
    assert of.choose_by is not None
    return least_cost(always, work, of, of.choose_by)  # type: ignore[arg-type]


def test_hours_by_worker_has_those_of_who_runs_a_machine() -> None:
    """5 h that come always, 3 h by hand and 9 h of driving are 17 h of the crew. The loader's
    driver comes with it."""
    of = digging()
    of = replace(of, machines={**of.machines, "loader": digger("loader", operator=None)})
    work = (hours("dig", "3"), by_machine("9"), by_machine("2", "loader"))
    assert hours_by_worker(work, of, {("crew", "crew"): Decimal(5)}) == {
        ("crew", "crew"): Decimal(17),
        ("machine", "digger"): Decimal(9),
        ("machine", "loader"): Decimal(2),
    }


@pytest.mark.parametrize(
    ("waiting", "idle", "expected"),
    [("paid", None, 1390), ("elsewhere", None, 1290), ("paid", "1.5", 1790)],
)
def test_least_cost_holds_the_hours_of_crews_and_machines(
    waiting: Waiting, idle: str | None, expected: int
) -> None:
    """14 h of a crew whose day has 16 h take a whole day, 800; people who may be elsewhere are paid
    14 / 16 of it at least, 700. 9 h of the digger begin two days of 8 h: 90 + 400 + 100 = 590; a
    day and a half between uses hold it for two more days, 400."""
    hired = None if idle is None else Hired(day_item="day", idle_days=Decimal(idle))
    of = digging(digger(hired=hired), waiting)
    found = least(of, {("crew", "crew"): Decimal(2)}, hours("haul", "3"), by_machine("9"))
    assert found == expected


@pytest.mark.parametrize(("travel", "expected"), [("15.5", 1600), ("16", 0)])
def test_least_cost_holds_no_hours_in_days_without_time_for_work(
    travel: str, expected: int
) -> None:
    """15.5 h of travel leave half an hour of each day: one hour of work takes two days. 16 h leave
    none, and nothing is bounded."""
    of = replace(digging(), fixed=(daily(travel),))
    assert least(of, {}, hours("haul", "1")) == expected


def tried_by(of: Rates, yards: float) -> tuple[list[tuple[tuple[str, ...], str]], int]:
    """The best two sets, and how many were put in order to find them."""
    tried: list[TimedWork] = []
    units = {"standard_units": (("wall-1", 100.0),)}
    found = choose(of, {**volumes(cut=yards), **units}, tried=tried)  # type: ignore[dict-item]
    return sets_of(found), len(tried)


def test_choose_machines_tries_no_set_that_must_cost_more() -> None:
    """100 units at 0.05 h are 5 h, and 9 h come once: 14 h with every set. 2 yd3 take either
    machine half an hour: 14.5 h are a day of two people, 800, and 10 or 20 for the machine. By
    hand 17 h are a day and a half: 1200, known before it is tried, so that two are."""
    of = chosen_by(COSTS, *WAYS, tasks=(BY_HAND, task("set_units")))
    found, tried = tried_by(replace(of, fixed=(once("9"),)), 2)
    assert found == [(("ant",), "810.00"), (("bee",), "820.00")]
    assert tried == 2


def test_choose_machines_tells_the_best_two_of_three_that_were_tried() -> None:
    """People who may be elsewhere could be paid for 3 / 16 of a day, 150, or with a machine for
    half an hour, 25 and 10 or 20 more: that rules out none of the three. Here each takes half a
    day: 400 by hand, 410 and 420."""
    of = replace(chosen_by(COSTS, *WAYS), waiting="elsewhere")
    tried: list[TimedWork] = []
    found = choose(of, volumes(cut=2), tried=tried)
    assert sets_of(found) == [((), "400.00"), (("ant",), "410.00")]
    assert len(tried) == 3
    assert found.choice is not None
    assert found.choice.how[1:] == (
        "Crew: 0.5 days x 800 = 400",
        "together 400",
        "next of 3 sets: Ant: 410.00",
    )
