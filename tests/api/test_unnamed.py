"""Saved quotes as who keeps prices reads them: without whom they are for, or what was noted."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from tests.given.callers import Service, service_with_keys
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import Json, level_wall, proof_request, read
from tests.given.saved_quotes import URL

NAME = "Quentin Marker"
NAMING = {"metadata", "notes", "customer"}


@pytest.fixture(scope="module")
def service(proof_catalog: Catalog, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """A service with keys."""
    with service_with_keys(proof_catalog, tmp_path_factory.mktemp("keys")) as service:
        yield service


@pytest.fixture(scope="module")
def saved(service: Service) -> Json:
    """A quote that names its customer in every place that has room for it, and was issued."""
    body = {
        "quote": proof_request(
            level_wall(exposed="2 ft"), issued_on="2026-05-04", materials_only=True
        ),
        "customer": {"name": NAME},
        "metadata": {"lead": NAME},
        "notes": f"{NAME} called twice",
    }
    kept = service.office.post(URL, json=body)
    assert kept.status_code == 201, kept.text
    place = f"{URL}/{read(kept)['id']}"
    tag = service.office.get(place).headers["etag"]
    moved = service.office.post(
        f"{place}/state",
        json={"state": "issued", "note": f"sent to {NAME}"},
        headers={"If-Match": tag},
    )
    assert moved.status_code == 200, moved.text
    return read(service.office.get(place))


@pytest.fixture(scope="module")
def prices(service: Service) -> TestClient:
    """A client with a key for prices alone."""
    return service.client("prices")


def test_saved_quotes_are_read_without_names_by_who_keeps_prices(
    saved: Json, prices: TestClient
) -> None:
    """A quote alone, in lists and in exports has all but its names."""
    bare = {key: value for key, value in saved.items() if key not in NAMING}
    assert NAME in json.dumps(saved)
    assert read(prices.get(f"{URL}/{saved['id']}")) == bare
    assert read(prices.get(URL))["items"] == [bare]
    line, end = prices.get(f"{URL}/export?format=ndjson").text.splitlines()
    assert json.loads(line) == bare
    assert json.loads(end)["quotes"] == 1


@pytest.mark.parametrize(
    "path",
    ["", "/state", "/revisions", "/revisions/1", "/revisions/1/quote", "/revisions/1/answer"],
)
def test_no_read_of_a_quote_names_the_customer_to_who_keeps_prices(
    saved: Json, prices: TestClient, path: str
) -> None:
    """What `prices` may read of a quote has no name in it."""
    answer = prices.get(f"{URL}/{saved['id']}{path}")
    assert answer.status_code == 200, answer.text
    assert NAME not in answer.text


@pytest.mark.parametrize("part", ["customer", "metadata", "notes"])
def test_names_of_a_quote_are_for_the_office(saved: Json, prices: TestClient, part: str) -> None:
    """Customer, metadata and notes take a key with `quotes`."""
    assert_problem(prices.get(f"{URL}/{saved['id']}/{part}"), 403, "scope-missing")


@pytest.mark.parametrize("query", ["customer=quentin", "metadata=lead:Quentin Marker"])
@pytest.mark.parametrize("path", ["", "/export"])
def test_quotes_are_not_looked_for_by_a_name_by_who_keeps_prices(
    service: Service, saved: Json, prices: TestClient, path: str, query: str
) -> None:
    """A filter by what isn't told would tell it."""
    assert saved["id"] in service.office.get(f"{URL}{path}?{query}").text
    assert_problem(prices.get(f"{URL}{path}?{query}"), 403, "scope-missing")
