"""`[choose_by]` of production rates: what it holds, and what the shipped file says."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pydantic import ValidationError

from service.catalog import Catalog, RatesBody
from service.core.job.machine import ChooseBy, MachineCost
from tests.given.chosen_machines import CREW
from tests.given.quote_requests import Json

COSTS: Json = {"hour": "4.20", "day": "285", "delivery": "190"}
CREW_DAYS: Json = {"crew": "955"}


def rates(machines: Json, crew_days: Json) -> RatesBody:
    """Rates of a crew and a digger with these costs."""
    return RatesBody.model_validate(
        {
            "crews": {"crew": CREW},
            "machines": {"digger": {"title": "Digger", "owned": {"item": "digger_hour"}}},
            "choose_by": {"machines": machines, "crew_days": crew_days},
        }
    )


def test_choose_by_becomes_costs_of_machines_and_crews() -> None:
    """Hour, day and delivery of a machine, 0 where one is left out; a day of a crew."""
    found = rates({"digger": {"day": "285"}}, CREW_DAYS).to_core().choose_by
    assert found == ChooseBy(
        machines={"digger": MachineCost(day=Decimal(285))}, crew_days={"crew": Decimal(955)}
    )


@pytest.mark.parametrize(
    ("machines", "crew_days", "at", "code"),
    [
        ({}, CREW_DAYS, ("machines",), "choose-by-incomplete"),
        ({"digger": COSTS, "loader": COSTS}, CREW_DAYS, ("machines", "loader"), "name-unknown"),
        ({"digger": COSTS}, {"crw": "1"}, ("crew_days", "crw"), "name-unknown"),
        ({"digger": COSTS}, {"crw": "1"}, ("crew_days",), "choose-by-incomplete"),
        ({"digger": {"day": "-1"}}, CREW_DAYS, ("machines", "digger", "day"), None),
    ],
)
def test_choose_by_names_every_machine_and_crew_of_its_rates(
    machines: Json, crew_days: Json, at: tuple[str, ...], code: str | None
) -> None:
    """A machine or a crew without a cost would be free, and one that isn't there is a slip."""
    with pytest.raises(ValidationError) as caught:
        rates(machines, crew_days)
    found = {each["loc"]: each["type"] for each in caught.value.errors()}
    assert ("choose_by", *at) in found
    assert code is None or found["choose_by", *at] == code


def test_shipped_rates_choose_by_the_prices_of_the_demo(catalog: Catalog) -> None:
    """A day of three people at 28.00 and 42 % burden is 954.24, taken as 955; hire, delivery with
    pick-up, and an hour with its fuel are those of the price list."""
    by = catalog.production_rates["small_crew"].core.choose_by
    items = catalog.price_lists["demo_2026"].core.items
    assert by is not None
    assert by.crew_days == {"crew": Decimal(955)}
    assert abs(by.crew_days["crew"] - 24 * items["crew_hour"].unit_cost) < 1
    machines = catalog.production_rates["small_crew"].core.machines
    trips = items["machine_delivery"].unit_cost + items["machine_pick_up"].unit_cost
    for name, cost in by.machines.items():
        fuel = machines[name].fuel_item
        hour = items[fuel].unit_cost if fuel else Decimal(0)
        hour += items[f"{name}_hour"].unit_cost if f"{name}_hour" in items else 0
        day = items[f"{name}_day"].unit_cost if f"{name}_day" in items else Decimal(0)
        own = f"{name}_bring"  # on the crew's own trailer
        brought = items[own].unit_cost if own in items else Decimal(0)
        hired = machines[name].delivery_item == "machine_delivery"
        delivery = trips if hired else brought
        assert cost == MachineCost(hour=hour, day=day, delivery=delivery)
