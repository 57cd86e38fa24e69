"""Callers with keys, and a service that they share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from fastapi import FastAPI
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.api_keys import bearer, new_key
from tests.given.served import BASE_URL, application
from tests.given.stores import Clock, sqlite_store

# Who has a key in a service with keys.
SCOPES = {
    "office": ("quotes", "prices", "admin"),
    "field": ("field",),
    "prices": ("prices",),
    "website": ("website",),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """A service with keys, its database, and the text of each key."""

    app: FastAPI
    store: Store
    office: TestClient
    keys: dict[str, str]

    def client(self, name: str) -> TestClient:
        """A client with one of the keys."""
        return client_of(self.app, self.keys[name])


def client_of(app: FastAPI, key: str) -> TestClient:
    """A client that calls with a key."""
    return TestClient(app, base_url=BASE_URL, headers=bearer(key), follow_redirects=False)


@contextmanager
def service_with_keys(catalog: Catalog, folder: Path) -> Iterator[Service]:
    """A service over a catalog and an own SQLite file, which runs as long as the block."""
    with sqlite_store(folder, Clock()) as store:
        app = application(catalog, store)
        keys = {name: new_key(store, *scopes)[1] for name, scopes in SCOPES.items()}
        with client_of(app, keys["office"]) as office:
            yield Service(app=app, store=store, office=office, keys=keys)
