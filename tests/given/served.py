"""The application as a caller on this machine meets it, and what such a caller sends."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store

A = TypeVar("A")
R = TypeVar("R")
BASE_URL = "http://127.0.0.1:8000"
JSON = {"Content-Type": "application/json"}
# Said of what is stored for the first time.
NOTHING_YET = {"If-None-Match": "*"}


class Here:
    """Calculates in this process: starting others for each test takes seconds. Tests over a
    running service go through the door itself."""

    is_free = False

    async def run(
        self,
        function: Callable[[Catalog, A], R],
        catalog: Catalog,
        argument: A,
        _cost_ms: float,
        *,
        waits: bool = False,
    ) -> R:
        """What the function comes to."""
        del waits
        return await asyncio.to_thread(function, catalog, argument)

    async def close(self) -> None:
        """There is nothing to close."""


def application(catalog: Catalog, store: Store | None = None) -> FastAPI:
    """The application with default settings, which calculates in this process."""
    app = create_app(Settings.model_construct(), catalog, store)
    app.state.door = Here()
    return app


@contextmanager
def client_over(catalog: Catalog, store: Store | None = None) -> Iterator[TestClient]:
    """A client of a service over a catalog, which runs as long as the block."""
    app = application(catalog, store)
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client


@pytest.fixture(scope="session")
def client(catalog: Catalog) -> Iterator[TestClient]:
    """A client of a service over the shipped catalog."""
    with client_over(catalog) as client:
        yield client


@pytest.fixture(scope="session")
def proof(proof_catalog: Catalog) -> Iterator[TestClient]:
    """A client of a service over the small catalog, whose quotes are worked by hand."""
    with client_over(proof_catalog) as client:
        yield client
