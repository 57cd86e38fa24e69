"""Soil that leaves, as lines to order."""

from __future__ import annotations

import pytest

from service.core.errors import QuoteFaultsError
from service.core.ground.balance import balance
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.measure import UNITS, US
from service.core.takeoff.earth_lines import earth_lines
from tests.given.earth import FOOT_DEEP, dug, ground_wall, soil
from tests.given.machines import YD3
from tests.given.walls import ft

TRUCK = Truck(volume_m3=10 * YD3, payload_kg=1e9)
BY_LOAD = Material(id="haul_off", version="1", title="Soil", group="earth", sold_per=UNITS["load"])


def test_earth_lines_count_loads_of_a_truck_alone() -> None:
    """Soil that its file sells by the load is ordered in loads of the truck; without a truck
    nobody knows what a load is, and the rates are named."""
    spec = ground_wall((0, 4, 0, 2), (40, 4, 0, 2), graded_in_front_m=ft(5), graded_behind_m=ft(5))
    wall = dug(spec, FOOT_DEEP, of=soil(class_="B"))
    loaded, bare = (balance((wall,), (), soil(), None, truck, None, US) for truck in (TRUCK, None))
    (line,) = earth_lines(loaded, {"haul_off": BY_LOAD}, US)
    loads = -(-loaded.haul_off.loose_m3 // (10 * YD3))
    assert (float(line.order), line.order_unit) == (loads, "load")
    with pytest.raises(QuoteFaultsError) as caught:
        earth_lines(bare, {"haul_off": BY_LOAD}, US)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("truck-missing", ("rates",))
