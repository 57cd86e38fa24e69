"""`/v1/repricings`: what a caller sees of a re-pricing, on both databases."""

from __future__ import annotations

import csv
import io
import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.repricings import (
    COSTS,
    Json,
    draft_of,
    save,
    save_many,
    start,
    yard_request,
)
from tests.given.served import client_over
from tests.given.stores import Clock, sqlite_store

PATH = "/v1/repricings"


@pytest.fixture
def office(store: Store, summer: Catalog) -> Iterator[TestClient]:
    """A client of a service over the store, with the prices of the summer."""
    with client_over(summer, store) as client:
        yield client


def read(response: Response, status: int = 200) -> Json:
    """The document of an answer."""
    assert response.status_code == status, response.text
    document: Json = response.json()
    return document


def preview(client: TestClient, **asked: object) -> Json:
    """A preview that is done at once."""
    return read(client.post(PATH, json={"price_list": "yard", **asked}), 201)


def wait(client: TestClient, path: str) -> Json:
    """A run when it is over."""
    run = read(client.get(path))
    for _ in range(400):
        if run["status"] not in {"queued", "running"}:
            return run
        time.sleep(0.05)
        run = read(client.get(path))
    raise AssertionError(run)


def test_a_few_quotes_are_answered_at_once(
    office: TestClient, store: Store, spring: Catalog
) -> None:
    """201 with the finished run and its address; the same call with its key gives it again."""
    save_many(store, spring, 3)
    sent = {"price_list": "yard", "margin_floor": "0.15"}
    headers = {"Idempotency-Key": '"one"'}
    first = office.post(PATH, json=sent, headers=headers)
    run = read(first, 201)
    assert run["status"] == "succeeded"
    assert run["counts"] == {
        "total": 3,
        "done": 3,
        "changed": 3,
        "under_margin": 3,
        "failed": 0,
        "out_under_margin": 0,
        "newer_terms": 0,
    }
    assert first.headers["location"] == f"{PATH}/{run['id']}"
    assert read(office.get(first.headers["location"])) == run
    again = office.post(PATH, json=sent, headers=headers)
    assert (again.content, again.headers["idempotent-replayed"]) == (first.content, "true")
    other = office.post(PATH, json={"price_list": "yard"}, headers=headers)
    assert read(other, 422)["code"] == "idempotency-key-reused"


def test_respond_async_is_done_in_the_background(
    office: TestClient, store: Store, spring: Catalog
) -> None:
    """202 with where to look and when; the run ends by itself."""
    save_many(store, spring, 3)
    response = office.post(PATH, json={"price_list": "yard"}, headers={"Prefer": "respond-async"})
    assert read(response, 202)["status"] == "queued"
    assert response.headers["preference-applied"] == "respond-async"
    assert response.headers["retry-after"] == "1"
    assert wait(office, response.headers["location"])["status"] == "succeeded"


def test_many_quotes_are_done_in_the_background(
    office: TestClient, store: Store, spring: Catalog
) -> None:
    """201 quotes are answered 202, previewed and written; each quote once."""
    save_many(store, spring, 201)
    response = office.post(PATH, json={"price_list": "yard"})
    assert response.status_code == 202
    run = wait(office, response.headers["location"])
    assert run["counts"]["done"] == 201
    response = office.post(PATH, json={"mode": "write", "preview": run["id"]})
    written = wait(office, response.headers["location"])
    assert (written["status"], written["counts"]["changed"]) == ("succeeded", 201)
    rows = office.get(written["items"], headers={"Accept": "application/x-ndjson"})
    items = [json.loads(line) for line in rows.text.splitlines()]
    assert items.pop() == {"end": True, "items": 201}
    assert [item["written"]["revision"] for item in items] == [2] * 201


def test_a_run_that_was_left_goes_on_when_a_service_starts(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """A run that nobody works on is taken up by the next service that starts."""
    save_many(store, spring, 3)
    run = start(store, summer)
    with client_over(summer, store) as other:
        assert wait(other, f"{PATH}/{run.asked.id}")["status"] == "succeeded"


def test_items_come_as_pages_lines_and_rows(
    office: TestClient, store: Store, spring: Catalog
) -> None:
    """The same items in each form, in the order of the quotes; text stays text in a spreadsheet."""
    for number, reference in enumerate(("=cmd", "job-2", "job-3")):
        save(store, draft_of(spring, yard_request(reference, 30 + number)))
    run = preview(office, margin_floor="0.15")
    pages: list[Json] = []
    address = f"{run['items']}?limit=2"
    while address:
        response = office.get(address)
        page = read(response)
        assert ("link" in response.headers) == (page["next"] is not None)
        pages += page["items"]
        address = page["next"]
    assert [item["reference"] for item in pages] == ["=cmd", "job-2", "job-3"]
    lines = office.get(run["items"], headers={"Accept": "application/x-ndjson"}).text.splitlines()
    assert [json.loads(line) for line in lines] == [*pages, {"end": True, "items": 3}]
    response = office.get(run["items"], headers={"Accept": "text/csv"})
    assert response.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(response.text)))
    assert [row["new_total"] for row in rows] == [item["new_total"] for item in pages]
    assert [row["reference"] for row in rows] == ["'=cmd", "job-2", "job-3"]
    assert read(office.get(run["items"], headers={"Accept": "image/png"}), 406)


def test_items_can_be_asked_for_by_what_became_of_them(
    office: TestClient, store: Store, spring: Catalog
) -> None:
    """Those under the floor alone; an unknown word is refused."""
    save_many(store, spring, 3)
    run = preview(office, margin_floor="0.15")
    assert len(read(office.get(f"{run['items']}?only=under_margin"))["items"]) == 3
    assert read(office.get(f"{run['items']}?only=failed"))["items"] == []
    assert read(office.get(f"{run['items']}?only=cheap"), 422)["code"] == "parameter-invalid"


def test_repricings_are_listed_the_newest_first(
    office: TestClient, store: Store, spring: Catalog, clock: Clock
) -> None:
    """Pages of runs, by time."""
    save_many(store, spring, 1)
    ids = []
    for _ in range(3):
        clock.seconds += 1
        ids.append(preview(office)["id"])
    first = read(office.get(f"{PATH}?limit=2"))
    second = read(office.get(first["next"]))
    assert [run["id"] for run in (*first["items"], *second["items"])] == ids[::-1]
    assert second["next"] is None


def test_delete_cancels_only_what_is_left(
    office: TestClient, store: Store, spring: Catalog
) -> None:
    """A run that is over is 409, one that never was 404."""
    save_many(store, spring, 1)
    run = preview(office)
    refused = office.delete(f"{PATH}/{run['id']}")
    assert read(refused, 409)["code"] == "repricing-finished"
    for method in ("GET", "DELETE"):
        missing = office.request(method, f"{PATH}/r0")
        assert read(missing, 404)["code"] == "unknown-repricing"
    assert read(office.get(f"{PATH}/r0/items"), 404)["code"] == "unknown-repricing"


@pytest.mark.parametrize(
    ("sent", "code", "pointer"),
    [
        ({}, "field-missing", "/price_list"),
        ({"price_list": "yrd"}, "unknown-price-list", "/price_list"),
        ({"price_list": "yard", "revision": 9}, "unknown-revision", "/revision"),
        ({"mode": "write"}, "field-missing", "/preview"),
        ({"mode": "write", "preview": "r0"}, "unknown-preview", "/preview"),
        (
            {"mode": "write", "preview": "r0", "price_list": "yard"},
            "write-names-more",
            "/price_list",
        ),
        ({"price_list": "yard", "preview": "r0"}, "preview-names-preview", "/preview"),
        (
            {"price_list": "yard", "quotes": {"states": ["issued"]}},
            "issued-not-included",
            "/quotes/states",
        ),
    ],
)
def test_what_can_t_be_asked_is_refused(
    tmp_path: Path, summer: Catalog, sent: Json, code: str, pointer: str
) -> None:
    """Each mistake by its code and its place."""
    with sqlite_store(tmp_path, Clock()) as held, client_over(summer, held) as client:
        problem = read(client.post(PATH, json=sent), 422)
    assert (problem["code"], problem["errors"][0]["pointer"]) == (code, pointer)


def test_a_stored_price_list_that_rose_is_written_to_its_quotes(office: TestClient) -> None:
    """A supplier's list is published, a quote saved on it, a dearer revision published: preview
    and write make a draft on revision 2, which reads back under its digest."""
    items = {item: {"unit_cost": cost, "per": per} for item, (cost, per) in COSTS.items()}
    whole = {"currency": "USD", "effective_from": "2026-03-01", "items": items}
    revisions = "/v1/price-lists/quarry/revisions"
    first = office.post(revisions, json=whole, headers={"If-None-Match": "*"})
    assert first.status_code == 201, first.text
    request = yard_request("job-7", prices={"price_list": "quarry"})
    quote = read(office.post("/v1/saved-quotes", json={"quote": request}), 201)
    dearer = {"effective_from": "2026-06-01", "changes": [{"adjust": {"factor": "1.1"}}]}
    latest = office.get(f"{revisions}/latest").headers["etag"]
    second = office.post(revisions, json=dearer, headers={"If-Match": latest})
    assert second.status_code == 201, second.text
    run = read(office.post(PATH, json={"price_list": "quarry"}), 201)
    assert (run["revision"], run["counts"]["changed"]) == (2, 1)
    written = read(office.post(PATH, json={"mode": "write", "preview": run["id"]}), 201)
    (item,) = read(office.get(written["items"]))["items"]
    assert (item["old_total"], item["new_total"]) == ("1099.38", "1209.33")
    answer = read(office.get(f"/v1/saved-quotes/{quote['id']}/revisions/2/answer"))
    assert answer["digest"] == item["written"]["digest"]
    assert answer["price"]["total"] == "1209.33"
    assert answer["price_list"] == {"id": "quarry", "revision": 2}
    again = read(office.get(f"/v1/saved-quotes/{quote['id']}/revisions/2/recomputed"))
    assert again["same"] is True
