"""What publishing would change, shown before anything is published."""

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.price_requests import BASE, LATEST, NEAR, changes, priced, publish, raised
from tests.given.problem_checks import assert_problem
from tests.given.served import client_over

PREVIEW = {"mode": "preview"}


@pytest.fixture
def near(store: Store, proof_catalog: Catalog) -> Iterator[TestClient]:
    """A client of an application over a database with one price list."""
    with client_over(proof_catalog, store) as client:
        publish(client, NEAR)
        yield client


def test_preview_of_changes_shows_what_they_would_do(near: TestClient) -> None:
    """Plant's prices 4 % up (6.85 to 7.124, 5.125 to 5.33), an item set, one removed; and nothing
    is stored."""
    body = changes(
        raised(supplier="Plant"), {"set": {"new_item": priced("2.00")}}, {"remove": ["gravel"]}
    )
    answer = near.post(BASE, json=body, params=PREVIEW)
    assert answer.status_code == 200
    shown = answer.json()
    costs = {each["item"]: each["new"]["unit_cost"] for each in shown["changed"]}
    assert costs == {"a_cap": "5.33", "block": "7.124"}
    assert [each["item"] for each in shown["added"]] == ["new_item"]
    assert [each["item"] for each in shown["removed"]] == ["gravel"]
    assert (shown["unchanged"], shown["new"]) == (1, True)
    assert near.get(LATEST).json()["revision"] == 1


def test_publishing_on_the_etag_of_a_preview_does_what_it_showed(near: TestClient) -> None:
    """The preview names the state it read; the revision that follows has the digest it named."""
    body = changes(raised())
    shown = near.post(BASE, json=body, params=PREVIEW).json()
    assert publish(near, body, etag=shown["etag"]).status_code == 201
    assert near.get(LATEST).json()["source_digest"] == shown["source_digest"]
    assert_problem(publish(near, body, etag=shown["etag"]), 412, "precondition-failed")


def test_preview_of_a_whole_list_compares_it_with_latest(near: TestClient) -> None:
    """What the list leaves out is removed; the list as it is would make no revision."""
    assert near.post(BASE, json=NEAR, params=PREVIEW).json()["new"] is False
    items = {"block": NEAR["items"]["block"]}
    shown = near.post(BASE, json={**NEAR, "items": items}, params=PREVIEW).json()
    assert [each["item"] for each in shown["removed"]] == ["a_cap", "gravel", "pad_stone"]
    assert (shown["unchanged"], shown["new"]) == (1, True)


def test_preview_of_a_first_list_has_no_etag(near: TestClient) -> None:
    """A list that isn't there can be previewed whole; changes to it have nothing to change."""
    address = "/v1/price-lists/other/revisions"
    shown = near.post(address, json=NEAR, params=PREVIEW).json()
    assert (shown["etag"], shown["added_total"]) == (None, 4)
    missing = near.post(address, json=changes(raised()), params=PREVIEW)
    assert_problem(missing, 404, "unknown-price-list")


def test_preview_of_changes_has_the_faults_of_publishing(near: TestClient) -> None:
    """What can't be done can't be shown; another mode is none."""
    body = changes({"remove": ["blok"]})
    assert_problem(near.post(BASE, json=body, params=PREVIEW), 422, "unknown-item")
    assert_problem(near.post(BASE, json=body, params={"mode": "try"}), 422, "parameter-invalid")
