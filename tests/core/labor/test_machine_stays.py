"""Gaps between the days on which a machine is needed: held, or sent away."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.machine import ChooseBy, MachineCost
from service.core.labor.machine_time import Days, hold_machines, joined, machine_time, stays_of
from tests.given.machines import digger, machine_rates, machine_task, worked

COST = MachineCost(day=Decimal(200), delivery=Decimal(600))


def test_joined_puts_days_without_a_gap_together() -> None:
    """Days that overlap or follow each other are one stretch."""
    assert joined([(5, 6), (1, 2), (3, 3), (6, 8), (10, 10)]) == ((1, 3), (5, 8), (10, 10))


@pytest.mark.parametrize(
    ("second", "stays", "word"),
    [
        ((4, 5), ((1, 5),), "held over a gap of 1 day x 200 = 200 is not more than"),
        ((6, 7), ((1, 7),), "held over a gap of 3 days x 200 = 600 is not more than"),
        ((7, 7), ((1, 2), (7, 7)), "sent away for a gap of 4 days x 200 = 800 is more than"),
    ],
)
def test_stays_of_holds_a_gap_unless_a_delivery_costs_less(
    second: Days, stays: tuple[Days, ...], word: str
) -> None:
    """A day counts as 200 and a delivery as 600: three days are held, four are not."""
    found, words = stays_of(((1, 2), second), COST)
    assert found == stays
    assert words == (f"{word} another delivery at 600",)


def test_stays_of_holds_every_gap_without_costs() -> None:
    """Rates that choose by nothing hold a machine from first to last day of need."""
    assert stays_of(((1, 1), (90, 90)), None) == (((1, 90),), ())


def test_stays_of_decides_each_gap_by_itself() -> None:
    """Of gaps of one, nine and two days only the long one is worth two deliveries more."""
    needs = ((1, 1), (3, 3), (13, 13), (16, 16))
    assert stays_of(needs, COST)[0] == ((1, 3), (13, 16))


def test_hold_machines_counts_the_days_of_each_stay() -> None:
    """Days 1 to 2 and 7: brought twice, three days in all; hours that take more days than that
    are added to the last stay."""
    by = ChooseBy(machines={"digger": COST}, crew_days={"crew": Decimal(0)})
    rates, needs = machine_rates(machine_task()), {"digger": ((1, 2), (7, 7))}
    (dug,) = worked(rates).machine_tasks
    (held,) = hold_machines((dug,), replace(rates, choose_by=by), needs)
    time = machine_time(held, (dug,), Decimal(0))
    assert (time.days, time.days_each) == (3, (2, 1))
    assert time.how[-1] == "brought 2 times: 2 days + 1 day = 3 days"
    longer = replace(dug, hours=5 * digger().hours_per_day)
    (held,) = hold_machines((longer,), replace(rates, choose_by=by), needs)
    assert held.stays == (2, 3)


def test_hold_machines_brings_a_machine_once_where_nothing_says_when() -> None:
    """3 h begin one day, of one stay; what rounds to no hour, without a day of need, is there for
    none."""
    rates = machine_rates(machine_task())
    (dug,) = worked(rates).machine_tasks
    (held,) = hold_machines((dug,), rates, {})
    time = machine_time(held, (dug,), Decimal(0))
    assert (time.days, time.stays, time.days_each) == (1, (), (1,))
    (idle,) = hold_machines((replace(dug, hours=Decimal("0.00")),), rates, {})
    assert idle.stays == (0,)
