"""A draft whose answer can't be made at the amounts that its re-pricing told is 409."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from sqlalchemy import update
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.operations.repricing.repricing import work_off
from service.storage import Store
from service.storage.quote_tables import QUOTE_REVISION
from tests.given.repricings import COSTS, Json, save_many, start
from tests.given.served import client_over

QUOTES = "/v1/saved-quotes"
LIMIT = "service.operations.repricing.repricing_start.MOST_AT_ONCE"
SHOWN = ("", "/revisions/2", "/revisions/2/answer", "/revisions/2/quote", "/revisions/2/recomputed")


@pytest.fixture
def quote_id(
    store: Store, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> str:
    """A quote with a draft that an earlier engine left at a total which this one doesn't find."""
    (held,) = save_many(store, spring, 1)
    with monkeypatch.context() as large:
        large.setattr(LIMIT, 0)
        preview = start(store, summer).asked.id
        work_off(store, summer, preview)
        work_off(store, summer, start(store, summer, mode="write", preview=preview).asked.id)
    row = QUOTE_REVISION.c
    other = {"priced_by": "0", "total_minor": row.total_minor + 1}
    with store.write() as connection:
        connection.execute(update(QUOTE_REVISION).where(row.revision == 2).values(**other))
    return held


@pytest.fixture
def office(store: Store, summer: Catalog, quote_id: str) -> Iterator[TestClient]:
    """A client of a service that came after; `quote_id` was left before it started."""
    assert quote_id
    with client_over(summer, store) as client:
        yield client


def refused(document: Json, quote_id: str) -> bool:
    """Whether a problem says which answer isn't made, and what to do."""
    detail = document["detail"]
    named = f"revision 2 of {quote_id}" in detail
    return document["code"] == "answer-not-made" and named and "once more" in detail


@pytest.mark.parametrize("path", SHOWN)
def test_reading_an_answer_that_can_t_be_made_is_409(
    office: TestClient, quote_id: str, path: str
) -> None:
    """Whatever would show it is refused with its revision and the way on."""
    response = office.get(f"{QUOTES}/{quote_id}{path}")
    assert response.status_code == 409, response.text
    assert refused(response.json(), quote_id)


def test_issuing_a_draft_whose_answer_can_t_be_made_is_409(
    office: TestClient, quote_id: str
) -> None:
    """It isn't issued, and stays a draft; withdrawn it stands in nobody's way."""
    path = f"{QUOTES}/{quote_id}/state"
    tag = {"If-Match": office.get(path).headers["etag"]}
    response = office.post(path, json={"state": "issued", "on": "2026-05-04"}, headers=tag)
    assert response.status_code == 409, response.text
    assert refused(response.json(), quote_id)
    assert office.get(path).json()["state"] == "draft"
    response = office.post(path, json={"state": "withdrawn"}, headers=tag)
    assert response.status_code == 200, response.text


def test_repricing_once_more_makes_a_draft_with_an_answer(
    office: TestClient, quote_id: str
) -> None:
    """As the message says: a draft of a further re-pricing, on another list, is read."""
    listed = {
        "currency": "USD",
        "effective_from": "2026-05-01",
        "items": {item: {"unit_cost": cost, "per": per} for item, (cost, per) in COSTS.items()},
    }
    kept = office.post(
        "/v1/price-lists/quarry/revisions", json=listed, headers={"If-None-Match": "*"}
    )
    assert kept.status_code == 201, kept.text
    asked = {"price_list": "quarry", "quotes": {"ids": [quote_id]}}
    run = office.post("/v1/repricings", json=asked).json()
    written = office.post("/v1/repricings", json={"mode": "write", "preview": run["id"]})
    assert written.status_code == 201, written.text
    shown = office.get(f"{QUOTES}/{quote_id}")
    assert shown.status_code == 200, shown.text
    assert shown.json()["revision"] == 3
