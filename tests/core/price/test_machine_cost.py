"""Price lines of machines: hours, hire, delivery and pick-up, fuel."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.errors import Fault
from service.core.job.machine import Hired, Machine, Owned
from service.core.labor.hours import Labor, MachineTime
from service.core.price.price import Price
from tests.given.machines import digger, equipment
from tests.given.money import Priced, faults_of, labor, line, priced, prices

HIRED = digger(hired=Hired(day_item="day", week_item="week"))
HIRE: dict[str, Priced] = {"day": ("285.00", "day"), "week": ("980.00", "each")}


OWN_DAY = replace(digger(), cost=Owned(day_item="own_day"))
BOTH = replace(digger(), cost=Owned(item="digger_hour", day_item="own_day"))


def of_machines(*times: MachineTime) -> Labor:
    """Labor of machines alone."""
    return replace(labor(), equipment=times)


def cost_of(times: tuple[MachineTime, ...], items: dict[str, Priced]) -> Price:
    """Their price at these costs."""
    return priced(of=prices(items), work=of_machines(*times))


def fault_of(times: tuple[MachineTime, ...], items: dict[str, Priced]) -> Fault:
    """The one thing that keeps them from being priced."""
    (fault,) = faults_of(lambda: cost_of(times, items))
    return fault


@pytest.mark.parametrize(
    ("price", "quantity", "cost"),
    [
        (("62.00", "h"), "10.5", "651.00"),
        (("400.00", "day"), "2", "800.00"),
        (("90.00", "load"), "3", "270.00"),
    ],
)
def test_price_pays_an_owned_machine_as_its_price_is_per(
    price: Priced, quantity: str, cost: str
) -> None:
    """10.5 hours, two days or three loads: the quantity of the line x its unit cost is its cost."""
    time = equipment("10.5", 2, digger(), loads="3")
    found = line(cost_of((time,), {"digger_hour": price}), "digger_hour")
    assert found.cost == Decimal(cost)
    assert (found.kind, found.group) == ("equipment", "equipment")
    assert (found.quantity, found.quantity_unit) == (Decimal(quantity), price[1])


def test_price_hires_each_stay_apart() -> None:
    """Seven days and three: a week and two days (980 + 570 = 1550), then three days (855, less
    than a week), each brought and fetched. Ten days in one would be two weeks, 1960."""
    digs = replace(HIRED, delivery_item="brought", pick_up_item="fetched")
    time = replace(equipment("50", 10, digs), stays=(7, 3))
    trips: dict[str, Priced] = {"brought": ("95.00", "each"), "fetched": ("90.00", "each")}
    found = cost_of((time,), HIRE | trips)
    assert {each.item: (each.quantity, each.cost) for each in found.lines} == {
        "brought": (Decimal(2), Decimal("190.00")),
        "fetched": (Decimal(2), Decimal("180.00")),
        "day": (Decimal(5), Decimal("1425.00")),
        "week": (Decimal(1), Decimal("980.00")),
    }


def test_price_pays_an_owned_machine_by_hours_and_days_that_it_is_there() -> None:
    """10.5 hours at 40.00 and 2 days at 55.00 are two lines, brought once for 60.00: 590.00."""
    time = equipment("10.5", 2, replace(BOTH, delivery_item="bring"))
    items: dict[str, Priced] = {
        "digger_hour": ("40.00", "h"),
        "own_day": ("55.00", "day"),
        "bring": ("60.00", "each"),
    }
    found = cost_of((time,), items)
    assert [(each.item, each.quantity, each.cost) for each in found.lines] == [
        ("digger_hour", Decimal("10.5"), Decimal("420.00")),
        ("own_day", Decimal(2), Decimal("110.00")),
        ("bring", Decimal(1), Decimal("60.00")),
    ]
    assert "2 day x 55.00 per day = 110.00" in line(found, "own_day").how
    assert found.direct_cost == Decimal("590.00")


def test_price_pays_an_owned_machine_by_the_day_alone() -> None:
    """Two machines that share a price by the day: 3 days in one line, and no hours."""
    times = (equipment("4", 1, OWN_DAY), equipment("9", 2, replace(OWN_DAY, id="second")))
    (found,) = cost_of(times, {"own_day": ("55.00", "day")}).lines
    assert (found.quantity, found.cost) == (Decimal(3), Decimal("165.00"))


def test_price_refuses_hours_and_days_of_one_item() -> None:
    """Hours of one machine and days of another are no one quantity, though both have a price by
    the day."""
    daily = replace(OWN_DAY, id="second", cost=Owned(day_item="digger_hour"))
    times = (equipment("4", 1, digger()), equipment("9", 2, daily))
    assert fault_of(times, {"digger_hour": ("55.00", "day")}).code == "price-unit-mismatch"


def test_price_hires_at_the_cheapest_mix() -> None:
    """Seven days: a week and two days."""
    found = cost_of((equipment("50", 7, HIRED),), HIRE)
    assert [(each.item, each.quantity, each.cost) for each in found.lines] == [
        ("day", Decimal(2), Decimal("570.00")),
        ("week", Decimal(1), Decimal("980.00")),
    ]
    words = "cheapest hire for 7 days: 1 x 5 days by the week + 2 by the day = 1550.00"
    assert words in line(found, "week").how


def test_price_hires_by_the_day_alone() -> None:
    """Without a week of hire there are days."""
    alone = digger(hired=Hired(day_item="day"))
    found = cost_of((equipment("20", 3, alone),), HIRE)
    assert [(each.item, each.cost) for each in found.lines] == [("day", Decimal("855.00"))]


def test_price_brings_fetches_and_fuels() -> None:
    """Delivery and pick-up once each, fuel by the machine-hour; one line per item over all
    machines."""
    first = replace(
        digger(), delivery_item="move", pick_up_item="move", fuel_item="fuel", operator=None
    )
    second = replace(first, id="roller", title="Roller")
    items: dict[str, Priced] = {
        "digger_hour": ("1.00", "h"),
        "move": ("95.00", "each"),
        "fuel": ("14.00", "h"),
    }
    found = cost_of((equipment("3", 1, first), equipment("2", 1, second)), items)
    assert line(found, "move").cost == Decimal("380.00")
    assert (line(found, "move").kind, line(found, "move").group) == ("delivery", "delivery")
    assert line(found, "fuel").cost == Decimal("70.00")


def test_price_says_what_each_line_of_a_machine_is_for() -> None:
    """Work of one's own machine bears its name alone; hire, ways and fuel say what they are, and a
    line for several names each once."""
    hired = replace(HIRED, delivery_item="move", pick_up_item="move", fuel_item="fuel")
    items: dict[str, Priced] = {**HIRE, "move": ("95.00", "each"), "fuel": ("14.00", "h")}
    items |= {"roller_hour": ("1.00", "h"), "roller_day": ("9.00", "day")}
    own = Owned(item="roller_hour", day_item="roller_day")
    roller = replace(digger(), id="roller", title="Roller", cost=own, fuel_item="fuel")
    found = cost_of((equipment("50", 7, hired), equipment("2", 1, roller)), items)
    assert {each.item: each.description for each in found.lines} == {
        "day": "Digger, hire by the day",
        "week": "Digger, hire by the week",
        "move": "Digger, delivery; Digger, pick-up",
        "fuel": "Digger, fuel; Roller, fuel",
        "roller_hour": "Roller",
        "roller_day": "Roller, days there",
    }


def test_price_splits_machines_over_walls_by_hours() -> None:
    """3 h for wall a and 1 h for wall b."""
    time = equipment("4", 1, digger(), shares=(("a", 3.0), ("b", 1.0)))
    found = priced(
        of=prices({"digger_hour": ("10.00", "h")}), work=of_machines(time), walls=("a", "b")
    )
    assert found.by_wall == (("a", Decimal("30.00")), ("b", Decimal("10.00")))


@pytest.mark.parametrize(
    ("machine", "items", "code"),
    [
        (digger(), {}, "price-missing"),
        (digger(), {"digger_hour": ("1.00", "load")}, "price-unit-mismatch"),
        (BOTH, {"digger_hour": ("1.00", "h")}, "price-missing"),
        (BOTH, {"digger_hour": ("1.00", "h"), "own_day": ("1.00", "h")}, "price-unit-mismatch"),
        (HIRED, {"week": HIRE["week"]}, "price-missing"),
        (HIRED, {"day": HIRE["day"]}, "price-missing"),
        (HIRED, {**HIRE, "day": ("35.00", "h")}, "price-unit-mismatch"),
        (HIRED, {**HIRE, "week": ("980.00", "day")}, "price-unit-mismatch"),
    ],
)
def test_price_says_what_keeps_a_machine_from_its_price(
    machine: Machine, items: dict[str, Priced], code: str
) -> None:
    """A price that is missing, or per something that can't be counted."""
    assert fault_of((equipment("3", 1, machine),), items).code == code


def test_price_refuses_one_item_in_two_units() -> None:
    """An item that is an hour of one machine and the delivery of another has no one price."""
    other = replace(digger("roller"), delivery_item="digger_hour")
    items: dict[str, Priced] = {"digger_hour": ("1.00", "h"), "roller_hour": ("1.00", "h")}
    times = (equipment("3", 1, digger()), equipment("3", 1, other))
    assert fault_of(times, items).code == "price-unit-mismatch"
