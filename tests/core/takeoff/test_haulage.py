"""What trucks carry, in every unit in which it may be paid; figures by hand."""

from __future__ import annotations

from dataclasses import replace

from service.core.job.machine import Truck
from service.core.measure import METRIC, UNITS
from service.core.takeoff.haulage import Haulage, Loads, count_loads, haul_orders, paid_unit

# 10 m3 loose that weigh 13.6 t, in 3 loads of a truck.
SOIL = Haulage(
    volume_m3=10.0,
    mass_kg=13_600.0,
    loads=Loads(count=3),
    sold=UNITS["yd3"],
    settled=False,
    increment=None,
    how=(),
)


def orders_of(haulage: Haulage) -> list[str]:
    """Amounts with their units."""
    return [f"{each.amount:f} {each.unit.symbol}" for each in haul_orders(haulage)]


def test_haul_orders_are_those_that_a_price_may_ask_for() -> None:
    """As it is sold first: 10 / 0.764555 = 13.0795 yd3, then by all other volumes (10 / 0.0283168
    = 353.147 ft3), weights (13600 / 0.45359237 = 29982.87 lb, 14.9914 ton) and the load. A unit
    that is settled takes the place of other volumes; what isn't known is no order."""
    weights = ["29982.87 lb", "15.00 ton", "13600.00 kg", "13.60 t", "3 load"]
    assert orders_of(SOIL) == ["13.08 yd3", "353.15 ft3", "10.00 m3", *weights]
    settled = replace(SOIL, settled=True)
    assert orders_of(settled) == ["13.08 yd3", *weights]
    assert orders_of(replace(settled, mass_kg=None, loads=None)) == ["13.08 yd3"]


def test_paid_unit_is_of_volumes_weights_and_loads() -> None:
    """Nothing that is carried is paid by the piece, the pallet or the hour."""
    assert [paid_unit(SOIL, per) for per in ("each", "pallet", "h")] == [None, None, None]
    assert paid_unit(SOIL, "ton") == UNITS["ton"]


def test_count_loads_tells_both_counts() -> None:
    """10 m3 fill 2.5 trucks of 4 m3, 13.6 t 2.72 of 5 t: three loads either way; 21 t are five."""
    truck = Truck(volume_m3=4.0, payload_kg=5000.0)
    by_volume = "10 m3 / 4 m3 a load: 3"
    for kg, count, words in (
        (13_600.0, 3, f"{by_volume}; 13600 kg / 5000 kg a load: 3"),
        (21_000.0, 5, f"{by_volume}; 21000 kg / 5000 kg a load: 5"),
        (None, 3, by_volume),
    ):
        assert count_loads(10.0, kg, truck, METRIC) == Loads(count=count, how=words)
    assert count_loads(None, None, truck, METRIC) is None
