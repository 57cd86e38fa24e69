"""Pallets are taken apart only where no machine that passes lifts them whole."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.access import Access
from service.core.job.measured import Measured
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import TaskHours
from service.core.measure import US
from service.core.shares import Shares
from tests.given.machines import LB, digger, machine_rates
from tests.given.money import quantities, task
from tests.given.scheduled import schedule
from tests.given.walls import ft

UNITS_OF_WALL: dict[Measured, Shares] = {"all_units": (("wall-1", 100.0),)}


def broken(pallet_lb: float | None, passage_ft: float | None = None) -> tuple[TaskHours, ...]:
    """Work on 100 units: a loader lifts 900 lb and passes 3 ft, a skid steer 1,900 lb and 6 ft;
    a plate, which is carried, lifts nothing."""
    loader = replace(digger("loader", width_ft=2.5), rated_load_kg=900 * LB)
    steer = replace(digger("steer", width_ft=5.5), rated_load_kg=1900 * LB)
    plate = replace(digger("plate", width_ft=None), rated_load_kg=None)
    breaking = replace(task("break", by="all_units", hours="0.01"), breaks_pallets=True)
    of = machine_rates(tasks=[breaking], machines=[loader, steer, plate])
    access = None if passage_ft is None else Access(narrowest_m=ft(passage_ft))
    kg = None if pallet_lb is None else pallet_lb * LB
    limits = SiteLimits(access=access, pallet_kg=kg)
    return schedule(of, {}, quantities(measured=UNITS_OF_WALL), US, limits=limits).tasks


@pytest.mark.parametrize(
    ("pallet_lb", "passage_ft", "why"),
    [
        (1900, None, None),
        (1901, None, "a pallet weighs 1901 lb, and Steer lifts 1900 lb"),
        (1900, 6, None),
        (1900, 5.9, "a pallet weighs 1900 lb, and Loader lifts 900 lb"),
        (900, 3, None),
        (901, 3, "a pallet weighs 901 lb, and Loader lifts 900 lb"),
        (500, 2.9, "a pallet weighs 500 lb, and no machine that passes lifts one"),
        (None, 2.9, None),
    ],
)
def test_schedule_breaks_pallets_that_nothing_lifts(
    pallet_lb: float | None, passage_ft: float | None, why: str | None
) -> None:
    """100 units at 0.01 h are 1 h where a pallet outweighs what the strongest machine that passes
    lifts, at both sides of its load; nothing where it is lifted or its weight isn't known."""
    found = broken(pallet_lb, passage_ft)
    if why is None:
        assert found == ()
        return
    (breaking,) = found
    assert breaking.hours == Decimal("1.00")
    assert why in breaking.how
