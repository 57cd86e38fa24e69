"""Keys that aren't there, and keys that have ended, over HTTP: status and code."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store
from tests.given.api_keys import bearer, new_key
from tests.given.problem_checks import assert_problem
from tests.given.served import BASE_URL

KEYS = "/v1/api-keys"
# Ids that no key has: one in good form, one that can't be any.
NOBODYS = ("aaaaaaaaaa", "A-1")


@pytest.fixture
def admin(catalog: Catalog, store: Store) -> Iterator[TestClient]:
    """A caller with an admin's key."""
    _, key = new_key(store, "admin")
    app = create_app(Settings(), catalog, store)
    with TestClient(app, base_url=BASE_URL, headers=bearer(key)) as client:
        yield client


@pytest.mark.parametrize("key_id", NOBODYS)
def test_a_key_that_nobody_has_is_not_found(admin: TestClient, key_id: str) -> None:
    """It is neither read nor changed nor ended."""
    address = f"{KEYS}/{key_id}"
    for answer in (
        admin.get(address),
        admin.post(f"{address}/rotate", json={}),
        admin.delete(address),
    ):
        assert_problem(answer, 404, "unknown-api-key")


def test_a_key_that_has_ended_gets_no_new_secret(admin: TestClient, store: Store) -> None:
    """It is read and may be ended once more; another secret would bring it back."""
    key_id, _ = new_key(store, "field")
    address = f"{KEYS}/{key_id}"
    assert admin.delete(address).status_code == 204
    problem = assert_problem(admin.post(f"{address}/rotate", json={}), 409, "api-key-ended")
    assert f"{key_id} has ended" in problem["detail"]
    assert admin.get(address).status_code == 200
    assert admin.delete(address).status_code == 204
