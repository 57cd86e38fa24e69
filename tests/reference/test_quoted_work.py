"""Outside figures of hours, weather, money and lawn, asked of the service itself."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import Json, level_wall, line_of, quantity_of, quoted
from tests.given.reference_files import PRICES
from tests.reference.conftest import rows_of

MONEY = rows_of("money")
HAND: Json = {"title": "Hand", "item": "hand", "size": 1, "paid_hours_per_day": "8"}


def request(wall: Json | None = None, **more: object) -> Json:
    """A quote of the constructed set."""
    return {
        "units": "us",
        "wall_system": "half_foot_unit",
        "section": "thin_pad",
        "walls": [wall or level_wall("40 ft", "4 ft")],
        "prices": PRICES,
        **more,
    }


def rates(tasks: list[Json], worked: str = "1", **more: object) -> Json:
    """Rates of one hand."""
    return {"crews": {"one": {**HAND, "worked_share": worked}}, "tasks": tasks, **more}


def laying(hours: str) -> Json:
    """A task by the face of a wall."""
    fixed = {"id": "lay", "title": "Lay", "crew": "one", "measured_by": "face_area", "per": "ft2"}
    return {**fixed, "hours": hours}


@pytest.mark.parametrize("row", MONEY["task_hours"]["rows"], ids=str)
def test_quote_gives_the_man_hours_of_the_handbook(
    served: TestClient, row: Mapping[str, Any]
) -> None:
    """P-405: 448 ft2 at 160 man-hours per 1,000 ft2 are 71.68, nine days of one man; 16,000 ft2 at
    33 are 528, 66 days."""
    wall = level_wall(f"{row['area_ft2'] / 8:g} ft", "8 ft")  # 16 courses of 6 in
    answer = quoted(served, request(wall, rates=rates([laying(row["hours_per_ft2"])])))
    assert answer["labor"]["labor_hours"] == row["hours"]
    assert Decimal(answer["labor"]["crew_days"]) == Decimal(row["days"])


def test_quote_counts_a_worked_hour_of_50_minutes(served: TestClient) -> None:
    """FM 5-434: of 8 paid hours 6.64 are worked: 20 h take 3.5 days, where 60 minutes would make
    2.5."""
    (row,) = MONEY["working_hour"]["rows"]
    wall = level_wall("50 ft", "8 ft")  # 400 ft2 x 0.05 = 20 h
    for worked, days in ((row["worked_share"], row["days"]), ("1", row["days_of_60_minutes"])):
        answer = quoted(served, request(wall, rates=rates([laying("0.05")], worked)))
        assert Decimal(answer["labor"]["crew_days"]) == Decimal(days)


@pytest.mark.parametrize("row", rows_of("weather")["working_days"]["rows"], ids=str)
def test_quote_allows_for_weather_as_computed(served: TestClient, row: Mapping[str, Any]) -> None:
    """Ten days of work with 20, 25 and 30 % lost: the negative binomial distribution."""
    wall = level_wall("100 ft", "8 ft")  # 800 ft2 x 0.1 = 80 h, ten days of one hand
    order = {
        "lost_day_probability": row["lost"],
        "open_trench_days": "50",
        "shortest_stretch": "8 ft",
    }
    answer = quoted(served, request(wall, rates=rates([laying("0.1")], order=order)))
    weather = answer["order_of_work"]["weather"]
    assert Decimal(weather["working_days"]) == Decimal(row["days"])
    assert Decimal(weather["expected_days"]) == Decimal(row["mean"])
    assert weather["likely_days"] == row["likely"]


def test_quote_burdens_a_wage_as_published(served: TestClient) -> None:
    """Bureau of Labor Statistics, June 2023: 28.97 with 41.63 % on it cost 41.03 an hour."""
    (row,) = MONEY["burden"]["rows"]
    people = {**HAND, "item": "mason", "wage": row["wage"], "burden": row["burden"]}
    crews = {"one": {**people, "worked_share": "1"}}
    one = {"id": "set", "title": "Set", "crew": "one", "hours": "8", "per": "job"}
    own = {"currency": "USD", "crews": crews, "fixed": [one]}
    line = line_of(quoted(served, request(rates=own)), "mason")
    assert float(line["unit_cost"]) == pytest.approx(float(row["hour_cost"]), abs=0.005)
    assert line["quantity"] == {"value": "8", "unit": "h"}


FREE: Json = {
    "currency": "USD",
    "items": {item: {**price, "unit_cost": "0"} for item, price in PRICES["items"].items()},
}


def priced(served: TestClient, cost: str, **terms: object) -> Json:
    """The price of an extra alone: what the wall is made of costs nothing."""
    extra = {"description": "Work", "cost": cost, "kind": "subcontract"}
    answer = quoted(served, request(prices=FREE, extras=[extra], terms=terms))
    price: Json = answer["price"]
    return price


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("row", MONEY["markup_to_margin"]["rows"], ids=lambda row: row["markup"])
def test_quote_turns_markup_into_margin(served: TestClient, row: Mapping[str, str]) -> None:
    """G = m / (1 + m): 35 % on cost are 25.9259 % of the price."""
    share = str(Decimal(row["markup"]) / 100)
    price = priced(served, "1000000", profit={"markup": share})
    assert float(price["margin"]) * 100 == pytest.approx(float(row["margin"]), abs=0.005)


@pytest.mark.parametrize("row", MONEY["price_from_margin"]["rows"], ids=str)
def test_quote_prices_by_margin(served: TestClient, row: Mapping[str, str]) -> None:
    """1,000 at a margin of 35 % are 1,538.46; as a markup it would be 1,350.00."""
    assert priced(served, row["cost"], profit={"margin": row["margin"]})["subtotal"] == row["price"]


def test_quote_orders_whole_pallets_of_sod_after_waste(served: TestClient) -> None:
    """900 ft2 with 5 % waste are 945 ft2, 2.1 pallets of 450: three are bought."""
    sod = {"task": "lay_sod", "quantity": "900 ft2"}
    answer = quoted(served, request(site_work=[sod], prices={"price_list": "demo_2026"}) | SHIPPED)
    assert quantity_of(answer, "sod")["order"] == {"value": "3", "unit": "pallet"}


def test_quote_orders_topsoil_loose(served: TestClient) -> None:
    """4 in on 1,000 ft2 are 12.3457 yd3 in place; with 20 % for settling 14.815: 15."""
    soil = {"task": "spread_topsoil", "quantity": "12.3457 yd3"}
    answer = quoted(served, request(site_work=[soil], prices={"price_list": "demo_2026"}) | SHIPPED)
    assert quantity_of(answer, "topsoil")["order"] == {"value": "15", "unit": "yd3"}


SHIPPED: Json = {"wall_system": "garden_6in", "section": "plain_gravity"}
