"""What trucks carry is ordered in the unit of its price, from whatever price list it comes."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import Fault
from service.core.measure import UNITS
from service.core.price.bought import as_bought
from service.core.takeoff.haulage import Haulage, Loads
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import bought, prices
from tests.given.random_quotes import PAID_UNITS, carried_line, haulages

# 10 m3 loose that weigh 13.6 t, in 3 loads of a truck.
SOIL = Haulage(
    volume_m3=10.0,
    mass_kg=13_600.0,
    loads=Loads(count=3),
    sold=UNITS["yd3"],
    settled=False,
    increment=None,
    how=("soil hauled off: 10 m3 loose",),
)
# The same tipped: its file says by the yard, in halves of one.
TIPPED = replace(SOIL, settled=True, increment=Decimal("0.5"), loads=Loads(count=3, how="10 / 4"))


def ordered(haulage: Haulage, per: str) -> QuantityLine:
    """The line of a haulage that is priced per some unit."""
    found = as_bought(carried_line("haul_off", haulage), prices({"haul_off": ("1.00", per)}))
    assert isinstance(found, QuantityLine)
    return found


def refused(haulage: Haulage, per: str) -> Fault:
    """Why a haulage can't be had at a price per some unit."""
    found = as_bought(carried_line("haul_off", haulage), prices({"haul_off": ("1.00", per)}))
    assert isinstance(found, Fault)
    return found


@pytest.mark.parametrize(
    ("per", "order"),
    [
        ("yd3", "13.08"),  # 10 / 0.764554857984 = 13.0795
        ("m3", "10"),
        ("ft3", "353.15"),  # 10 / 0.028316846592 = 353.1467
        ("t", "13.6"),
        ("kg", "13600"),
        ("ton", "15"),  # 13600 / 907.18474 = 14.9914
        ("lb", "29982.87"),  # 13600 / 0.45359237 = 29982.8677
        ("load", "3"),
    ],
)
def test_as_bought_orders_soil_in_the_unit_of_its_price(per: str, order: str) -> None:
    """Without a file that says otherwise soil is ordered as its price is per, rounded up to a
    hundredth, which is an assumption; loads are whole."""
    found = ordered(SOIL, per)
    assert (found.order, found.order_unit, found.sold_per) == (Decimal(order), per, per)
    assert found.increment_assumed == (per != "load")
    assert found.how[0] == "soil hauled off: 10 m3 loose"
    assert order in found.how[1]


@pytest.mark.parametrize(
    ("per", "order", "unit", "assumed"),
    [
        ("yd3", "13.5", "yd3", False),
        ("m3", "13.5", "yd3", False),
        ("ton", "15", "ton", True),
        ("load", "3", "load", False),
    ],
)
def test_as_bought_keeps_the_unit_that_a_file_settles(
    per: str, order: str, unit: str, *, assumed: bool
) -> None:
    """A file's unit and increment hold for every price of that dimension, which is converted; a
    price of another dimension has its own unit, and the file's increment says nothing there."""
    found = ordered(TIPPED, per)
    assert (found.order, found.order_unit) == (Decimal(order), unit)
    assert found.increment_assumed == assumed


def test_as_bought_shows_how_loads_were_counted() -> None:
    """The arithmetic of the loads stands before them, where it stands nowhere else."""
    assert ordered(TIPPED, "load").how[-1] == "10 / 4; paid by the load: 3 load"
    assert ordered(SOIL, "load").how[-1] == "paid by the load: 3 load"


def test_as_bought_needs_a_truck_for_loads() -> None:
    """Nobody knows what a load is: the fault names the item and where a truck would stand."""
    fault = refused(replace(SOIL, loads=None), "load")
    assert (fault.code, fault.at) == ("truck-missing", ("rates",))
    assert "haul_off" in fault.message


def test_as_bought_refuses_what_is_no_way_to_pay() -> None:
    """A price per piece, or by weight where none is known, names every unit that would do."""
    fault = refused(SOIL, "each")
    assert fault.code == "price-unit-mismatch"
    assert fault.hint == "a unit cost per ft3 or yd3 or m3 or lb or ton or kg or t or load"
    fault = refused(replace(TIPPED, mass_kg=None, loads=None), "ton")
    assert fault.code == "price-unit-mismatch"
    assert fault.hint == "a unit cost per ft3 or yd3 or m3"


def test_as_bought_leaves_everything_else() -> None:
    """What no truck is counted for is ordered as it was; soil without a price as it was taken
    off."""
    stone = bought("stone", "3", "yd3", group="stone")
    assert as_bought(stone, prices({"stone": ("1.00", "m3")})) == stone
    soil = carried_line("haul_off", SOIL)
    assert as_bought(soil, prices({})) == soil


@given(
    st.booleans().flatmap(lambda settled: haulages(settled=settled)),
    st.lists(st.sampled_from([*PAID_UNITS, "each", ""]), max_size=4),
    st.sampled_from([*PAID_UNITS, "each"]),
)
def test_as_bought_forgets_the_lists_before(haulage: Haulage, before: list[str], per: str) -> None:
    """A line that was ordered by other lists, one after the other, is ordered by the last one as
    if it had never seen the others; a list without the item is one of them."""
    fresh = line = carried_line("haul_off", haulage)
    for other in before:
        found = as_bought(line, prices({"haul_off": ("1.00", other)} if other else {}))
        line = found if isinstance(found, QuantityLine) else line
    last = prices({"haul_off": ("1.00", per)})
    assert as_bought(line, last) == as_bought(fresh, last)
