"""A quote whose people are elsewhere while a machine works: quoted, kept, and priced again."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.catalog import Catalog
from service.storage import Store
from tests.given.quote_requests import Json
from tests.given.served import client_over
from tests.given.waiting import terrace

REVISIONS = "/v1/price-lists/quarry/revisions"
# An hour of one person, then a day of one person, then an hour again.
TURNS = (("52.13", "h"), ("417.77", "day"), ("55.55", "h"))


def listed(items: Json, crew: tuple[str, str]) -> Json:
    """A price list with a price of the crew's people."""
    whole = {**items, "crew_hour": {"unit_cost": crew[0], "per": crew[1]}}
    return {"currency": "USD", "effective_from": "2026-03-01", "items": whole}


def without_stamps(answer: Json) -> Json:
    """An answer without what says that it was priced again."""
    return {key: part for key, part in answer.items() if key not in ("digest", "priced_by")}


def people_paid(answer: Json) -> tuple[Decimal, str]:
    """What the line of the crew comes to, and per what."""
    (line,) = (line for line in answer["price"]["lines"] if line["item"] == "crew_hour")
    return Decimal(line["cost"]), line["per"]


@pytest.mark.parametrize("own_drivers", [False, True], ids=["drivers alone", "away"])
def test_a_quote_of_people_elsewhere_priced_again_is_a_fresh_quote(
    catalog: Catalog, store: Store, own_drivers: bool
) -> None:
    """By the hour and by the day of one person, the preview's total (in bulk) and the written
    answer (by itself) are those of a quote that is asked for on the new list, and less than those
    of people who are paid while they wait."""
    items: Json = catalog.price_lists["demo_2026"].document["items"]
    on_list = {"prices": {"price_list": "quarry"}}
    asked = terrace("elsewhere", own_drivers=own_drivers, **on_list)
    paid = terrace("paid", own_drivers=own_drivers, **on_list)
    with client_over(catalog, store) as office:
        sent, kept = {"If-None-Match": "*"}, ""
        for turn, crew in enumerate(TURNS):
            put = office.post(REVISIONS, json=listed(items, crew), headers=sent)
            assert put.status_code == 201, put.text
            sent = {"If-Match": office.get(f"{REVISIONS}/latest").headers["etag"]}
            fresh = office.post("/v1/quotes", json=asked).json()
            assert people_paid(fresh)[1] == crew[1]
            assert people_paid(fresh) < people_paid(office.post("/v1/quotes", json=paid).json())
            if not turn:
                kept = office.post("/v1/saved-quotes", json={"quote": asked}).json()["id"]
                continue
            run = office.post("/v1/repricings", json={"price_list": "quarry"}).json()
            (shown,) = office.get(f"/v1/repricings/{run['id']}/items").json()["items"]
            assert shown["new_total"] == fresh["price"]["total"]
            office.post("/v1/repricings", json={"mode": "write", "preview": run["id"]})
            revision = f"/v1/saved-quotes/{kept}/revisions/{turn + 1}"
            written = office.get(f"{revision}/answer").json()
            assert without_stamps(written) == without_stamps(fresh)
            assert office.get(f"{revision}/recomputed").json()["same"] is True
