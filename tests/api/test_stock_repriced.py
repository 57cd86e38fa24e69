"""What is kept in stock is charged as it is used: quoted, and priced again on lists that put items
in stock, take them out, and price them by the pack or by what a pack holds."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest

from service.storage import Store
from tests.given.catalogs import shipped_catalog
from tests.given.list_office import ITEMS, ListOffice
from tests.given.quote_requests import Json, line_of, quantity_of, shipped_request
from tests.given.served import client_over
from tests.given.stores import ON_SQLITE

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# Prices of fabric (rolls of 600 ft2), adhesive by the piece and stone, list after list.
TURNS: tuple[Json, ...] = (
    {"filter_fabric": ("118.00", "pack", None)},
    {"filter_fabric": ("118.00", "pack", True), "cap_adhesive": ("9.25", "each", True)},
    {"filter_fabric": ("0.20", "ft2", True), "drain_stone": ("45.00", "yd3", True)},
    {"filter_fabric": ("2.10", "m2", None), "base_stone": ("33.00", "ton", True)},
    {"filter_fabric": ("121.00", "roll", True), "saw_blade": ("0.50", "ft", None)},
    {"filter_fabric": ("121.00", "roll", False), "saw_blade": ("1.60", "m", True)},
)


def listed(turn: Json) -> Json:
    """The prices of one turn."""
    return {
        item: {
            **ITEMS[item],
            "unit_cost": cost,
            "per": per,
            **({} if stock is None else {"stock": stock}),
        }
        for item, (cost, per, stock) in turn.items()
    }


def request(**overrides: Json) -> Json:
    """40 ft of wall, and 61 ft of concrete to be cut."""
    asked = shipped_request(
        rates="small_crew",
        terms="standard",
        site_work=[{"task": "sawcut", "quantity": "61 ft"}],
    )
    own = {"overrides": overrides} if overrides else {}
    return {**asked, "prices": {"price_list": "yard", **own}}


@pytest.fixture
def office(store: Store) -> Iterator[ListOffice]:
    """An office over an empty store."""
    with client_over(shipped_catalog(), store) as client:
        yield ListOffice(client, "yard")


@ON_SQLITE
@pytest.mark.parametrize(
    "overrides",
    [
        {},
        {"filter_fabric": {"unit_cost": "99.00", "per": "pack"}},
        {"filter_fabric": {"unit_cost": "0.19", "per": "ft2", "stock": True}},
        {"filter_fabric": {"unit_cost": "99.00", "per": "pack", "stock": False}},
    ],
    ids=["list", "own price", "own stock", "own purchase"],
)
def test_a_quote_with_stock_priced_again_is_a_fresh_quote(
    office: ListOffice, overrides: Json
) -> None:
    """Whatever list comes after, the preview's total and the written answer are those of a quote
    that is asked for on it: order, packs, arithmetic, assumptions."""
    asked = request(**overrides)
    office.publish(listed(TURNS[0]))
    saved = office.save(asked)
    for turn in (*TURNS[1:], TURNS[0]):
        office.publish(listed(turn))
        office.reprice_as_fresh(saved, asked)


def test_quote_divides_a_price_per_pack_by_its_content(office: ListOffice) -> None:
    """252.933333 ft2 of fabric net, 10 % waste: 278.226667 ft2 of a roll of 600 ft2 at 118.00 are
    54.72; the order says square feet and no packs. Bought it is a roll: 118.00."""
    office.publish(listed({"filter_fabric": ("118.00", "pack", True)}))
    found = office.quote(request())
    line, priced = quantity_of(found, "filter_fabric"), line_of(found, "filter_fabric")
    wasted = Decimal(line["net"]["value"]) * (1 + Decimal(line["waste"]))
    assert abs(Decimal(line["order"]["value"]) - wasted) < Decimal("0.000001")
    assert (line["order"]["unit"], line["stock"]) == ("ft2", True)
    assert "packs" not in line
    exact = Decimal(line["order"]["value"]) / 600 * Decimal("118.00")
    assert abs(Decimal(priced["cost"]) - exact) <= Decimal("0.005")
    assert "kept in stock" in line["how"][-1]
    office.publish(listed({"filter_fabric": ("118.00", "pack", None)}))
    bought = office.quote(request())
    assert line_of(bought, "filter_fabric")["cost"] == "118.00"
    assert "stock" not in quantity_of(bought, "filter_fabric")


def test_quote_charges_the_blade_that_its_file_has_in_stock(office: ListOffice) -> None:
    """61 ft of cut at 0.44 are 26.84, whatever the price list says of stock."""
    office.publish(listed(TURNS[0]))
    found = office.quote(request())
    assert line_of(found, "saw_blade")["cost"] == "26.84"
    assert quantity_of(found, "saw_blade")["stock"] is True
    assert not [a for a in found["assumptions"] if "saw_blade" in a["field"]]


def test_quote_needs_no_freight_for_what_is_all_in_stock(office: ListOffice) -> None:
    """A list without delivery leaves freight and pallets to be priced, unless nobody brings
    anything."""
    office.publish(listed(TURNS[0]))
    asked = request()
    found = office.quote(asked)
    assert {"freight", "pallets"} <= {each["what"] for each in found["price"]["needed_not_priced"]}
    bought = [line["item"] for line in found["quantities"]]
    office.publish(listed({i: (ITEMS[i]["unit_cost"], ITEMS[i]["per"], True) for i in bought}))
    stocked = office.quote(asked)
    assert all(line["stock"] and "packs" not in line for line in stocked["quantities"])
    needed = {each["what"] for each in stocked["price"]["needed_not_priced"]}
    assert not {"freight", "pallets"} & needed
