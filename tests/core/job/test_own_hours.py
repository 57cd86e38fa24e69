"""Own figures in place of those of the rates."""

from __future__ import annotations

from decimal import Decimal

from service.core.job.own_hours import OwnHours, with_own_hours
from service.core.three_point import one_figure
from tests.given.machines import machine_rates, machine_task


def test_a_machine_with_own_hours_still_does_only_what_it_compacts() -> None:
    """A plate is timed by what it compacts: with hours of one's own it must compact the soil
    still. A machine that digs, whose hours are stated, need not; without own hours nothing
    changes."""
    ram, dig = machine_task("ram", compacts=True), machine_task("dig")
    rates = machine_rates(ram, dig)
    own = OwnHours(hours_per_unit=one_figure(Decimal("0.2")))
    changed = with_own_hours(rates, {"ram": own, "dig": own}).machine_tasks
    assert [(row.id, row.compacts) for row in changed] == [("ram", True), ("dig", False)]
    assert {row.hours_per_unit for row in changed} == {one_figure(Decimal("0.2"))}
    assert with_own_hours(rates, {}).machine_tasks == (ram, dig)
