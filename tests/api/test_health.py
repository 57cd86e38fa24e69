"""Health: the process lives; the service can answer, and from which catalog."""

import logging

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import (
    StorageError,
    StorageForeignError,
    StorageFullError,
    StorageGoneError,
    StorageMovedError,
    Store,
)
from tests.given.api_keys import bearer, new_key
from tests.given.quote_requests import read
from tests.given.served import client_over

AMISS = {
    StorageGoneError: (503, "storage-unavailable"),
    StorageMovedError: (503, "storage-moved"),
    StorageForeignError: (503, "storage-damaged"),
    StorageFullError: (507, "storage-full"),
}


def test_live_answers_without_looking_at_anything(client: TestClient) -> None:
    """As long as the process runs it is live."""
    response = client.get("/health/live")
    assert (response.status_code, response.json()) == (200, {"status": "live"})
    assert response.headers["content-type"] == "application/json"


def test_ready_names_the_catalog(client: TestClient, catalog: Catalog) -> None:
    """Ready reports the version of the catalog and how much of each kind was loaded."""
    answer = client.get("/health/ready").json()
    assert answer["status"] == "ready"
    assert answer["catalog"]["version"] == catalog.version
    assert answer["catalog"]["counts"]["wall_systems"] == len(catalog.wall_systems)


def fail_with(monkeypatch: pytest.MonkeyPatch, error: StorageError) -> None:
    """Let every look at the state of the database come to an error."""

    def fail(_store: Store) -> None:
        raise error

    monkeypatch.setattr(Store, "check", fail)


@pytest.mark.parametrize("kind", list(AMISS))
def test_ready_says_to_an_admin_alone_what_is_amiss(
    catalog: Catalog,
    store: Store,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    kind: type[StorageError],
) -> None:
    """With keys everybody else gets one and the same 503, whatever it is; the log says what."""
    _, admin = new_key(store, "admin")
    _, quotes = new_key(store, "quotes")
    status, code = AMISS[kind]
    fail_with(monkeypatch, kind("/srv/walls.sqlite"))
    with client_over(catalog, store) as client, caplog.at_level(logging.WARNING):
        told = client.get("/health/ready", headers=bearer(admin))
        assert (told.status_code, read(told)["code"]) == (status, code)
        others = [client.get("/health/ready", headers=each) for each in ({}, bearer(quotes))]
    for answer in others:
        problem = read(answer)
        assert (answer.status_code, problem["code"]) == (503, "not-ready")
        assert (problem["errors"], answer.headers["retry-after"]) == ([], "2")
        assert "storage" not in answer.text
        assert "database" not in answer.text
    logged = [record.__dict__["code"] for record in caplog.records if "code" in record.__dict__]
    assert logged == [code] * 3


@pytest.mark.parametrize("kind", list(AMISS))
def test_ready_says_what_is_amiss_before_the_first_key(
    catalog: Catalog, store: Store, monkeypatch: pytest.MonkeyPatch, kind: type[StorageError]
) -> None:
    """Whoever sits at the machine of a service without keys is told, as an admin is."""
    fail_with(monkeypatch, kind("x"))
    with client_over(catalog, store) as client:
        answer = client.get("/health/ready")
    assert (answer.status_code, read(answer)["code"]) == AMISS[kind]
