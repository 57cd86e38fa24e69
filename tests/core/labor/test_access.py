"""The way to the wall: what it counts as, and what carrying over it takes."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.access import Access
from service.core.job.machine import Carrying
from service.core.job.measured import Measured
from service.core.labor.access import carried_m
from service.core.labor.fit import NO_LIMITS, SiteLimits
from service.core.labor.hours import Labor
from service.core.measure import US
from service.core.shares import Shares
from tests.given.machines import LB
from tests.given.money import quantities, rates, task
from tests.given.scheduled import schedule
from tests.given.walls import ft

WAY = Carrying(included_m=ft(30), per_rise=Decimal(10), per_step_m=ft(5))
CARRY = replace(task("carry", by="carried_mass", hours="0.5", unit="ton"), per_distance_m=ft(100))


def carried(access: Access | None, carrying: Carrying = WAY) -> Labor:
    """Labor of 4 tons that are delivered."""
    of = replace(rates(CARRY), carrying=carrying)
    taken = quantities(measured={"delivered_mass": (("wall-1", 8000 * LB),)})
    limits = NO_LIMITS if access is None else SiteLimits(access=access)
    return schedule(of, {}, taken, US, limits=limits)


@pytest.mark.parametrize(
    ("access", "way"),
    [
        (Access(distance_m=ft(130)), 100.0),  # 130 - 30
        (Access(distance_m=ft(130), rise_m=ft(4)), 140.0),  # + 10 x 4
        (Access(distance_m=ft(130), rise_m=ft(-4)), 140.0),  # down is no easier
        (Access(distance_m=ft(130), stairs=8), 140.0),  # + 8 x 5
        (Access(distance_m=ft(20)), 0.0),  # within what other hours include
    ],
)
def test_carried_way_counts_rise_and_stairs(access: Access, way: float) -> None:
    """Distance, ten times the rise, 5 ft a step, less 30 ft that are in other hours."""
    assert carried_m(access, WAY) == pytest.approx(ft(way))


def test_schedule_carries_weight_times_distance() -> None:
    """4 tons at 0.5 h per ton and 100 ft, over 150 ft beyond the 30 ft included: 3 h."""
    labor = carried(Access(distance_m=ft(180)))
    assert labor.labor_hours == Decimal(3)
    assert labor.tasks[0].how[-1] == (
        "4 ton x 0.5 h per ton x 1.5 (150 ft of way / 100 ft: 180 ft - 30 ft included elsewhere) "
        "= 3 h"
    )


def test_schedule_says_what_the_way_is_made_of() -> None:
    """Rise and stairs stand in the words."""
    labor = carried(Access(distance_m=ft(100), rise_m=ft(2), stairs=2))
    words = "100 ft of way / 100 ft: 100 ft + 10 x 2 ft of rise + 2 steps x 5 ft - 30 ft"
    assert words in labor.tasks[0].how[-1]


def test_schedule_says_nothing_of_a_plain_way() -> None:
    """Without anything that counts extra the way is the distance."""
    labor = carried(Access(distance_m=ft(100)), Carrying())
    assert "(100 ft of way / 100 ft)" in labor.tasks[0].how[-1]


def test_schedule_carries_nothing_where_nobody_said_how_far() -> None:
    """Without `access` no way is walked."""
    assert carried(None).tasks == ()


def test_schedule_walks_no_way_that_is_not_stated() -> None:
    """A task over a distance that measures something else waits for `access` as well."""
    over = replace(task(by="wall_length", unit="ft"), per_distance_m=ft(100))
    taken = quantities(measured={"wall_length": (("wall-1", ft(40)),)})
    assert schedule(rates(over), {}, taken, US).tasks == ()


def test_schedule_carries_soil_that_leaves_and_comes() -> None:
    """Loose soil of one wall that leaves and comes is added; a covered surface is of no wall."""
    soil = task("soil", by="carried_soil_volume", hours="1", unit="m3")
    cover = task("cover", by="protected_area", hours="1", unit="m2")
    measured: dict[Measured, Shares] = {
        "haul_off_volume": (("b", 2.0), ("a", 1.0)),
        "import_volume": (("a", 3.0),),
    }
    access = Access(distance_m=ft(100), protect_m2=5.0)
    labor = schedule(
        rates(soil, cover),
        {},
        quantities(),
        US,
        measured=measured,
        limits=SiteLimits(access=access),
    )
    assert [(each.task, each.shares) for each in labor.tasks] == [
        ("soil", (("a", 4.0), ("b", 2.0))),
        ("cover", ()),
    ]
    assert [each.hours for each in labor.tasks] == [Decimal(6), Decimal(5)]
