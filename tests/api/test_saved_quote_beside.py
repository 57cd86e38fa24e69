"""What stands beside saved quotes: customer, metadata, notes; and lists by them, in every order."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest

from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import TERMS, Json, level_wall, read
from tests.given.saved_quotes import URL, Keeper, small_request
from tests.given.stores import Clock

DAY_S = 24 * 60 * 60
SMITH: Json = {
    "name": "A. Smith",
    "company": "Ground & Stone",
    "email": "smith@example.com",
    "phone": "+1 555 0100",
    "site_address": {"lines": ["12 Lane", "Town"]},
    "billing_address": {
        "street_name": "1 Main Street",
        "city_name": "Town",
        "postal_zone": "00000",
        "country_subentity": "State",
        "country": "US",
    },
}


def test_customer_has_names_and_addresses(keeper: Keeper) -> None:
    """Each part comes back as it was said; what is no address or no country is refused in place."""
    quote_id = keeper.save(customer=SMITH)["id"]
    assert read(keeper.get(f"/{quote_id}/customer")) == SMITH
    wrong = {"email": "smith", "billing_address": {"country": "usa"}, "site_address": {}}
    response = keeper.client.put(
        f"{URL}/{quote_id}/customer", json=wrong, headers=keeper.seen(quote_id)
    )
    found = {
        entry["pointer"] for entry in assert_problem(response, 422, "request-invalid")["errors"]
    }
    assert found == {"/email", "/billing_address/country", "/site_address/lines"}


def test_metadata_and_notes_are_replaced_whole(keeper: Keeper) -> None:
    """What is put takes the place of what stood there, under the quote's tag; at most 20 pairs."""
    saved = keeper.save(metadata={"crm_id": "4711", "rep": "Jo"}, notes="Call first.")
    quote_id = saved["id"]
    assert (saved["metadata"], saved["notes"]) == ({"crm_id": "4711", "rep": "Jo"}, "Call first.")
    put = keeper.client.put(
        f"{URL}/{quote_id}/metadata",
        json={"metadata": {"crm_id": "4712"}},
        headers=keeper.seen(quote_id),
    )
    assert (
        read(put) == read(keeper.get(f"/{quote_id}/metadata")) == {"metadata": {"crm_id": "4712"}}
    )
    assert put.headers["etag"] == keeper.tag(f"/{quote_id}") == keeper.tag(f"/{quote_id}/notes")
    head = {"If-Match": put.headers["etag"]}
    none = keeper.client.put(f"{URL}/{quote_id}/notes", json={}, headers=head)
    assert read(none) == {}
    again = keeper.client.put(f"{URL}/{quote_id}/notes", json={"notes": "x"}, headers=head)
    assert_problem(again, 412, "precondition-failed")
    (listed,) = read(keeper.get(""))["items"]
    assert listed["metadata"] == {"crm_id": "4712"}
    assert "notes" not in listed
    many = {f"k{number}": "v" for number in range(21)}
    response = keeper.client.put(
        f"{URL}/{quote_id}/metadata", json={"metadata": many}, headers=keeper.seen(quote_id)
    )
    assert_problem(response, 422, "too-long")


@pytest.fixture
def jobs(keeper: Keeper, clock: Clock) -> Keeper:
    """Three quotes, a day apart: 10 ft at a markup of 20 %, 40 ft at 50 %, 20 ft at nothing."""
    clock.seconds = 1_777_852_800  # 2026-05-04T00:00:00Z
    for feet, markup, customer, metadata in (
        (10, "0.20", SMITH, {"crm_id": "1", "rep": "Jo"}),
        (40, "0.50", {"company": "SMITHSONS"}, {"crm_id": "2", "rep": "Jo"}),
        (20, "0", {"name": "B. Other"}, {"crm_id": "1"}),
    ):
        terms = {**TERMS, "profit": {"markup": markup}, "valid_days": 10 + feet}
        request = small_request(issued_on="2026-05-04") | {"terms": terms}
        request["walls"] = [level_wall(f"{feet} ft")]
        keeper.save(request, customer=customer, metadata=metadata)
        clock.seconds += DAY_S
    return keeper


# What each query finds.
FOUND = {
    "?customer=smith": [2, 1],
    "?customer=SMITH%40example": [1],
    "?customer=stone": [1],
    "?metadata=crm_id:1": [3, 1],
    "?metadata=crm_id:1&metadata=rep:Jo": [1],
    "?metadata=crm_id:3": [],
    "?updated_from=2026-05-05T00:00:00Z": [3, 2],
    "?updated_from=2026-05-05T01:00:01%2B01:00": [3],
    "?updated_to=2026-05-05T00:00:00.5Z": [2, 1],
    # A markup of 0.2 leaves 0.2 / 1.2 = 0.1667, one of 0.5 leaves 0.3333.
    "?margin_from=0.1667": [2, 1],
    "?margin_to=0.1666": [3],
    "?margin_from=0.1668&margin_to=0.34": [2],
    "?order_by=number": [1, 2, 3],
    "?order_by=-total": [2, 3, 1],
    "?order_by=total": [1, 3, 2],
    "?order_by=margin": [3, 1, 2],
    "?order_by=-margin": [2, 1, 3],
    "?order_by=valid_until": [1, 3, 2],
    "?order_by=-updated_at": [3, 2, 1],
}


def test_lists_find_and_order_quotes(jobs: Keeper) -> None:
    """Each filter and each order by hand; pages of one give the same."""
    for query, found in FOUND.items():
        assert [item["number"] for item in read(jobs.get(query))["items"]] == found, query
        assert one_by_one(jobs, query, len(found) + 1) == found, query


def one_by_one(jobs: Keeper, query: str, most: int) -> list[int]:
    """The numbers on the pages of one quote, of which so many are read."""
    url, seen = f"{URL}{query}&limit=1", list[int]()
    for _ in range(most):
        page = read(jobs.client.get(url))
        seen += [item["number"] for item in page["items"]]
        url = page["next"]
        if url is None:
            break
    return seen


def test_margins_stand_in_facts_lists_and_exports(jobs: Keeper) -> None:
    """The margin of the answer, in each."""
    (item,) = read(jobs.get("?metadata=crm_id:2"))["items"]
    answer = read(jobs.get(f"/{item['id']}/revisions/1/answer"))
    assert item["facts"]["margin"] == answer["price"]["margin"] == "0.3333"
    rows = list(csv.DictReader(io.StringIO(jobs.get("/export?format=csv").text, newline="")))
    assert [row["margin"] for row in rows] == ["0.0000", "0.3333", "0.1667"]


def test_export_writes_the_lines_of_quotes(jobs: Keeper) -> None:
    """A row a price line; the lines of a quote add up to its costs and prices."""
    text = jobs.get("/export?format=csv&rows=lines").text
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    for item in read(jobs.get(""))["items"]:
        own = [row for row in rows if row["id"] == item["id"]]
        assert {row["group"] for row in own} == {"units", "stone"}
        for column, amount in (("cost", "direct_cost"), ("price", "subtotal")):
            assert sum(Decimal(row[column]) for row in own) == Decimal(item["facts"][amount])
    assert_problem(jobs.get("/export?format=ndjson&rows=lines"), 422, "parameter-invalid")


@pytest.mark.parametrize(
    "query",
    [
        "order_by=price",
        "metadata=crm_id",
        "metadata=CRM:1",
        "updated_from=2026-05-05",
        "updated_from=2026-13-05T00:00:00Z",
        "margin_from=12%25",
        "order_by=total&cursor=" + b"2026-05-04:1".hex(),
        "order_by=valid_until&cursor=" + b"5:1".hex(),
        "cursor=" + b"99999999999999999999:1".hex(),
    ],
)
def test_words_that_cannot_be_read_are_refused(keeper: Keeper, query: str) -> None:
    """422, and not an empty list."""
    assert_problem(keeper.get(f"?{query}"), 422, "parameter-invalid")
