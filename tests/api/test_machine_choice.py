"""Machines chosen for a job: quoted, left out by request, priced again, calculated once more."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog, load_catalog
from service.catalog.schemas import shipped_folder
from service.storage import Store
from tests.given.catalog_files import write_folder
from tests.given.chosen_machines import Fleet, dug_request, fleet_rates
from tests.given.quote_requests import Json, quoted, shipped_request, straight
from tests.given.served import client_over

REVISIONS = "/v1/price-lists/quarry/revisions"
SAVED = "/v1/saved-quotes"
DEMO: Json = {"price_list": "demo_2026"}


def machines_of(answer: Json) -> list[str]:
    """The machines that are there."""
    return [machine["machine"] for machine in answer["labor"]["equipment"]]


def fill_request(**more: object) -> Json:
    """A wall of 20 ft on nearly level ground, filled behind: little is dug, much is carried."""
    wall = {
        "plan": [straight("20 ft")],
        "profile": [
            {"station": station, "exposed": "2 ft", "front_grade": "0 ft", "existing_grade": "0 ft"}
            for station in ("0 ft", "end")
        ],
        "graded_behind": "8 ft",
    }
    soils = {"retained": "clay", "fill": "sand_gravel"}
    return shipped_request(wall, rates="small_crew", soils=soils, **more)


def test_quote_hires_no_excavator_for_half_an_hour(client: TestClient) -> None:
    """Some 4 yd3 of trench are half an hour of the excavator, which costs 475 to hire and bring;
    people dig them in the half day that they are there for anyway, or a machine that is there."""
    answer = quoted(client, fill_request())
    cut = Decimal(answer["earthwork"]["cut"]["value"])
    assert cut * Decimal("0.14") < Decimal("0.6"), "half an hour at 10 yd3 in an hour of 45 minutes"
    assert "mini_excavator" not in machines_of(answer)
    assert "narrow_excavator" not in machines_of(answer)
    choice = answer["labor"]["choice"]
    assert choice["machines"] == machines_of(answer)
    assert Decimal(choice["cost"]) <= Decimal(choice["runner_up"]["cost"])
    codes = {each["task"]: each["code"] for each in answer["labor"]["replaced"]}
    assert codes["dig"] == "machine-not-chosen"


def test_quote_leaves_machines_out_that_are_not_to_be_used(client: TestClient) -> None:
    """What was chosen is not there once it is not to be used, the task says why, and the job costs
    no less by what machines are chosen by."""
    first = quoted(client, dug_request("small_crew", prices=DEMO))
    assert "narrow_excavator" in first["labor"]["choice"]["machines"]
    off = ["mini_excavator", "narrow_excavator"]
    later = quoted(client, dug_request("small_crew", prices=DEMO, machines_off=off))
    assert frozenset(machines_of(later)).isdisjoint(off)
    assert Decimal(later["labor"]["choice"]["cost"]) >= Decimal(first["labor"]["choice"]["cost"])
    words = {r["task"]: (r["code"], r["why"]) for r in later["labor"]["replaced"]}
    assert words["dig"] == ("machine-off", "Mini excavator of 8,000 lb is not to be used")
    assert words["dig_narrow"][0] == "machine-off"


def test_quote_refuses_a_machine_left_out_that_nothing_replaces(client: TestClient) -> None:
    """Where the rates name nothing in its place the request is at fault, at `machines_off`."""
    request = dug_request("small_crew", prices=DEMO, machines_off=["plate", "rammer"])
    response = client.post("/v1/quotes", json=request)
    assert response.status_code == 422
    faults = response.json()["errors"]
    assert {(fault["code"], fault["pointer"]) for fault in faults} == {
        ("machine-off", "/machines_off")
    }


@pytest.mark.parametrize("rates", ["small_crew", "inline"])
def test_quote_chooses_by_no_price(client: TestClient, rates: str) -> None:
    """Machines that cost a hundred times as much in the price list are chosen as before: only the
    figures of the rates decide."""
    of: Json | str = "small_crew" if rates == "small_crew" else fleet_rates(SPLIT)
    prices = dug_request(of)["prices"]
    hires = {"narrow_excavator_day": "19500.00", "a_day": "20000.00", "brought": "9999.00"}
    items = prices["items"] | {
        item: {**prices["items"][item], "unit_cost": cost} for item, cost in hires.items()
    }
    before = quoted(client, dug_request(of))
    after = quoted(client, dug_request(of, prices={**prices, "items": items}))
    assert after["labor"] == before["labor"]
    assert after["price"]["total"] != before["price"]["total"]


# A machine hired for digging and loading, four days apart, whose days cost more than bringing it.
SPLIT = Fleet(
    costs={"ant": {"hour": "1", "day": "300", "delivery": "50"}},
    widths={},
    hired=frozenset({"ant"}),
    work={
        "dig": [("ant", "0.5")],
        "backfill": [],
        "load": [("ant", "0.25")],
    },
    by_hand={"dig": "40", "load": "40", "backfill": "6"},
)


def test_quote_brings_a_machine_twice_where_a_gap_costs_more(client: TestClient) -> None:
    """The machine digs at the beginning and loads at the end; a gap of a day costs 300, another
    delivery 50. Two deliveries at 80.00 are priced, and only the days on which it works."""
    answer = quoted(client, dug_request(fleet_rates(SPLIT), feet=60))
    (machine,) = answer["labor"]["equipment"]
    phases = [
        (use["first_day"], use["last_day"])
        for phase in answer["order_of_work"]["phases"]
        for use in phase["machines"]
    ]
    (_, dug), (loads, _) = phases
    assert loads > dug + 1
    assert machine["days"] == sum(last - first + 1 for first, last in phases)
    brought = next(line for line in answer["price"]["lines"] if line["item"] == "brought")
    assert (brought["quantity"]["value"], brought["cost"]) == ("2", "160.00")
    held = Fleet(
        {"ant": {"hour": "1", "day": "300", "delivery": "90000"}},
        SPLIT.widths,
        SPLIT.hired,
        SPLIT.work,
        {**SPLIT.by_hand, "dig": "4000", "load": "4000"},
    )
    (there,) = quoted(client, dug_request(fleet_rates(held), feet=60))["labor"]["equipment"]
    assert there["days"] == phases[1][1] - phases[0][0] + 1


def saved_and_repriced(catalog: Catalog, store: Store) -> tuple[Json, Json, Json, Json]:
    """A job whose hired machine comes twice, saved, priced again at ten times the cost of
    machines: both answers, the item of the preview, and the new one calculated once more."""
    items = dug_request("small_crew")["prices"]["items"]
    listed: Json = {"currency": "USD", "effective_from": "2026-03-01", "items": items}
    dear = {"effective_from": "2026-06-01", "changes": [{"adjust": {"factor": "10"}}]}
    request = dug_request(fleet_rates(SPLIT), feet=60, prices={"price_list": "quarry"})
    with client_over(catalog, store) as office:
        first = office.post(REVISIONS, json=listed, headers={"If-None-Match": "*"})
        assert first.status_code == 201, first.text
        quote = office.post(SAVED, json={"quote": request}).json()
        tag = office.get(f"{REVISIONS}/latest").headers["etag"]
        assert office.post(REVISIONS, json=dear, headers={"If-Match": tag}).status_code == 201
        run = office.post("/v1/repricings", json={"price_list": "quarry"}).json()
        (item,) = office.get(f"/v1/repricings/{run['id']}/items").json()["items"]
        office.post("/v1/repricings", json={"mode": "write", "preview": run["id"]})
        kept = f"{SAVED}/{quote['id']}/revisions"
        before, after = (office.get(f"{kept}/{n}/answer").json() for n in (1, 2))
        again = office.get(f"{kept}/2/recomputed").json()
    return before, after, item, again


def test_repricing_keeps_the_machines_that_were_chosen(catalog: Catalog, store: Store) -> None:
    """A quote priced again, by itself and in bulk, has the labor of the first one, and its machine
    is brought twice at the new prices; calculated once more it is the same."""
    before, after, item, again = saved_and_repriced(catalog, store)
    assert len(before["labor"]["equipment"]) == 1
    assert after["labor"] == before["labor"]
    brought = next(line for line in after["price"]["lines"] if line["item"] == "brought")
    assert (brought["quantity"]["value"], brought["cost"]) == ("2", "1600.00")
    assert item["new_total"] == after["price"]["total"]
    assert again["same"] is True
    assert "machines" not in again["difference"]


@pytest.mark.no_cover  # others run the same lines
def test_recomputed_says_where_a_fresh_quote_would_choose_otherwise(
    store: Store, tmp_path: Path
) -> None:
    """The rates change what machines are chosen by: the saved quote keeps its machines, and
    `recomputed` names both sets."""
    text = (shipped_folder() / "production_rates/small_crew.toml").read_text(encoding="utf-8")
    own = text.replace('id = "small_crew"', 'id = "own_crew"')
    row = 'narrow_excavator = { hour = "2.20", day = "195", delivery = "190" }'
    assert row in own
    dearer = own.replace(row, row.replace("195", "9500"))
    now, later = (
        load_catalog([write_folder(tmp_path / name, {"production_rates/own_crew.toml": rates})])
        for name, rates in (("now", own), ("later", dearer))
    )
    with client_over(now, store) as office:
        saved = office.post(SAVED, json={"quote": dug_request("own_crew", prices=DEMO)}).json()
        base = f"{SAVED}/{saved['id']}/revisions/1"
        kept = office.get(f"{base}/answer").json()
        assert "machines" not in office.get(f"{base}/recomputed").json()["difference"]
    with client_over(later, store) as office:
        found = office.get(f"{base}/recomputed").json()["difference"]["machines"]
        assert office.get(f"{base}/answer").json() == kept
    assert found["before"] == machines_of(kept)
    assert "narrow_excavator" in found["before"]
    assert "narrow_excavator" not in found["after"]
