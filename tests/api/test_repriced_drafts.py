"""Drafts that a re-pricing made: their cautions, and what issuing makes of them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import read
from tests.given.repricings import (
    COSTS,
    TERMS,
    Json,
    draft_of,
    items_of,
    save,
    yard_request,
)
from tests.given.repricings import run as run_of
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


@pytest.mark.no_cover  # others run the same lines
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


@pytest.mark.no_cover  # others run the same lines
def test_issuing_a_repriced_draft_before_its_prices_hold_says_so(office: Keeper) -> None:
    """Issued on June 10th, five days early, the caution stays."""
    quote_id = out_on_may_4(office, "job-1")
    rise(office)
    written(office.client)
    office.say(quote_id, {"state": "issued", "on": "2026-06-10"})
    assert EARLY in codes(answer_of(office, quote_id, 2))
    assert same_as_today(office, quote_id, 2)


def test_issue_repricing_issues_each_draft_that_it_can(office: Keeper) -> None:
    """Of four drafts one was withdrawn and one replaced by hand since: the other two go out on one
    day, with a fresh validity; once more they have gone out already."""
    ids = [out_on_may_4(office, f"job-{number}") for number in range(4)]
    rise(office)
    run = written(office.client)
    assert office.say(ids[0], {"state": "withdrawn"}).status_code == 200
    assert office.revise(ids[1], yard_request("job-1", feet=60)).status_code == 201
    url = f"{RUNS}/{run['id']}/issue"
    body = {"on": "2026-06-20", "note": "New prices."}
    head = {"Idempotency-Key": "issue"}
    first = office.client.post(url, json=body, headers=head)
    answer = read(first)
    assert (answer["issued"], answer["failed"], answer["on"]) == (2, 2, "2026-06-20")
    found = [
        (item["id"], item["outcome"], item.get("valid_until"), item.get("problem", {}).get("code"))
        for item in answer["items"]
    ]
    assert found == [
        (ids[0], "failed", None, "state-not-allowed"),
        (ids[1], "failed", None, "state-not-allowed"),
        (ids[2], "issued", "2026-07-20", None),
        (ids[3], "issued", "2026-07-20", None),
    ]
    assert read(office.get(f"/{ids[2]}/state"))["history"][-2]["note"] == "New prices."
    assert answer_of(office, ids[3], 2)["issued_on"] == "2026-06-20"
    assert office.client.post(url, json=body, headers=head).content == first.content
    again = read(office.client.post(url, json={**body, "ids": [ids[2], "q_nobody"]}))
    assert [item["problem"]["code"] for item in again["items"]] == [
        "state-not-allowed",
        "unknown-quote",
    ]


def test_issue_repricing_refuses_what_has_no_drafts(office: Keeper) -> None:
    """A preview is 409, an unknown run 404, no day 422."""
    out_on_may_4(office, "job-1")
    rise(office)
    preview = read(office.client.post(RUNS, json={"price_list": "quarry", "include_issued": True}))
    for run_id, body, status, code in (
        (preview["id"], {"on": "2026-06-20"}, 409, "repricing-not-written"),
        ("r0", {"on": "2026-06-20"}, 404, "unknown-repricing"),
        (preview["id"], {}, 422, "field-missing"),
    ):
        response = office.client.post(f"{RUNS}/{run_id}/issue", json=body)
        assert_problem(response, status, code)


def test_terms_that_are_newer_than_the_quotes_are_said(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """A quote keeps the terms by which it was priced; where the catalog's say something else today
    its item names them. A new title is no other price."""
    request = {**yard_request("job-1"), "terms": "standard"}
    save(store, draft_of(spring, request))
    save(store, draft_of(spring, yard_request("job-2")))
    for change, newer in (({"overhead": "0.15"}, 1), ({"title": "Another"}, 0)):
        held = summer.terms["standard"]
        document = {**held.document, **change}
        entry = replace(held, document=document)
        changed = replace(summer, terms={**summer.terms, "standard": entry})
        answer = run_of(store, changed)
        assert answer.counts.newer_terms == newer
        first, second = items_of(store, answer.id)
        assert first.get("newer_terms") == ("standard" if newer else None)
        assert "newer_terms" not in second


def test_repricing_says_what_freight_is_still_open(office: Keeper) -> None:
    """A supplier who comes with delivery terms brings his blocks from then on: freight of the stone
    alone is left open, and the whole answer is that of a fresh quote. An extra for freight, or
    freight left out on purpose, stays so."""
    items: Json = {item: {"unit_cost": cost, "per": per} for item, (cost, per) in COSTS.items()}
    for item in ("block", "a_cap"):
        items[item]["supplier"] = "Yard"
    quote_id = out_on_may_4(office, "job-1")
    lorry = {"description": "Lorry", "kind": "delivery", "cost": "90", "for": "freight"}
    more: Json = {"prices": {"price_list": "quarry"}, "issued_on": "2026-05-04"}
    covered = office.save(yard_request("job-2", extras=[lorry], **more))["id"]
    unwanted = office.save(yard_request("job-3", excluded=["freight"], **more))["id"]
    whole = {
        "currency": "USD",
        "effective_from": "2026-04-01",
        "items": items,
        "delivery": {"Yard": {"per_load": "100.00"}},
    }
    tag = office.client.get(f"{LISTS}/latest").headers["etag"]
    response = office.client.post(LISTS, json=whole, headers={"If-Match": tag})
    assert response.status_code == 201, response.text
    written(office.client)
    before, after = (answer_of(office, quote_id, number) for number in (1, 2))
    freight = [
        [each["text"] for each in answer["price"]["needed_not_priced"] if each["what"] == "freight"]
        for answer in (before, after)
    ]
    assert freight[0] == ["Not included: freight of the goods."]
    ((words,),) = freight[1:]
    assert "stone" in words.lower() or "gravel" in words.lower()
    for each in (quote_id, covered, unwanted):
        assert same_as_today(office, each, 2)
