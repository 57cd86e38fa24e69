"""Drafts that a re-pricing made: their cautions, and what issuing makes of them."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.quote_requests import read
from tests.given.repricings import COSTS, TERMS, Json, yard_request
from tests.given.saved_quotes import Keeper

LISTS = "/v1/price-lists/quarry/revisions"
RUNS = "/v1/repricings"
EARLY = "prices-not-effective"


@pytest.fixture
def office(store: Store, spring: Catalog) -> Keeper:
    """A caller with a supplier's list, dearer by a tenth from June 15th on."""
    keeper = Keeper(spring, store)
    items = {item: {"unit_cost": cost, "per": per} for item, (cost, per) in COSTS.items()}
    whole = {"currency": "USD", "effective_from": "2026-03-01", "items": items}
    first = keeper.client.post(LISTS, json=whole, headers={"If-None-Match": "*"})
    assert first.status_code == 201, first.text
    return keeper


def rise(keeper: Keeper) -> None:
    """Publish the dearer revision."""
    dearer = {"effective_from": "2026-06-15", "changes": [{"adjust": {"factor": "1.1"}}]}
    tag = keeper.client.get(f"{LISTS}/latest").headers["etag"]
    response = keeper.client.post(LISTS, json=dearer, headers={"If-Match": tag})
    assert response.status_code == 201, response.text


def written(client: TestClient, **asked: object) -> Json:
    """A preview of quotes that are out, written at once: the run."""
    asked = {"price_list": "quarry", "include_issued": True, **asked}
    preview = client.post(RUNS, json=asked)
    assert preview.status_code == 201, preview.text
    run = client.post(RUNS, json={"mode": "write", "preview": preview.json()["id"]})
    assert run.status_code == 201, run.text
    return read(run)


def out_on_may_4(keeper: Keeper, reference: str) -> str:
    """A quote that is out, with 30 days to run."""
    request = yard_request(
        reference,
        prices={"price_list": "quarry"},
        issued_on="2026-05-04",
        engineering={"settled": "by_owner"},
        terms={**TERMS, "valid_days": 30},
    )
    quote_id: str = keeper.save(request)["id"]
    assert keeper.say(quote_id, {"state": "issued"}).status_code == 200
    return quote_id


def answer_of(keeper: Keeper, quote_id: str, revision: int) -> Json:
    """The answer of a revision."""
    return read(keeper.get(f"/{quote_id}/revisions/{revision}/answer"))


def codes(answer: Json) -> list[str]:
    """The codes of an answer's cautions."""
    return [caution["code"] for caution in answer["cautions"]]


def same_as_today(keeper: Keeper, quote_id: str, revision: int) -> bool:
    """Whether the revision is what a fresh quote of its request is, to the byte."""
    found = read(keeper.get(f"/{quote_id}/revisions/{revision}/recomputed"))
    same: bool = found["same"]
    assert same, found["difference"]["parts"]
    return same


def test_a_repriced_revision_has_the_cautions_of_a_fresh_quote(office: Keeper) -> None:
    """Dated in May on prices that hold from June 15th: the caution stands where a fresh quote has
    it, and the whole answer is the fresh one."""
    quote_id = out_on_may_4(office, "job-1")
    rise(office)
    written(office.client)
    assert EARLY not in codes(answer_of(office, quote_id, 1))
    assert EARLY in codes(answer_of(office, quote_id, 2))
    assert same_as_today(office, quote_id, 2)


def test_issuing_a_repriced_draft_dates_it_anew(office: Keeper) -> None:
    """Issued on June 20th it holds 30 days from there, to July 20th; the prices hold by then, so
    that the caution is gone. From that day on it never changes."""
    quote_id = out_on_may_4(office, "job-1")
    rise(office)
    written(office.client)
    draft = office.get(f"/{quote_id}/revisions/2")
    assert "immutable" not in draft.headers["cache-control"]
    assert office.say(quote_id, {"state": "issued", "on": "2026-06-20"}).status_code == 200
    answer = answer_of(office, quote_id, 2)
    assert (answer["issued_on"], answer["valid_until"]) == ("2026-06-20", "2026-07-20")
    assert EARLY not in codes(answer)
    assert answer["price"] == read(draft)["answer"]["price"]
    issued = office.get(f"/{quote_id}/revisions/2")
    assert "immutable" in issued.headers["cache-control"]
    assert read(issued)["digest"] == answer["digest"] != read(draft)["digest"]
    assert same_as_today(office, quote_id, 2)
    facts = read(office.get(f"/{quote_id}"))["out"]["facts"]
    assert (facts["issued_on"], facts["valid_until"]) == ("2026-06-20", "2026-07-20")
    assert read(office.get(f"/{quote_id}/state"))["revisions"][0]["state"] == "superseded"


def test_issuing_a_repriced_draft_before_its_prices_hold_says_so(office: Keeper) -> None:
    """Issued on June 10th, five days early, the caution stays."""
    quote_id = out_on_may_4(office, "job-1")
    rise(office)
    written(office.client)
    office.say(quote_id, {"state": "issued", "on": "2026-06-10"})
    assert EARLY in codes(answer_of(office, quote_id, 2))
    assert same_as_today(office, quote_id, 2)
