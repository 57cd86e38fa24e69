"""Requests that take seconds, and a service that calculates them in processes of its own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store
from tests.given.costly_requests import LABOR, sloped_wall, zigzag_wall
from tests.given.quote_requests import Json, shipped_request
from tests.given.served import BASE_URL

SOIL: Json = {"retained": "silty_sand"}


def small_request() -> Json:
    """What is calculated at once."""
    return shipped_request(zigzag_wall(3), **LABOR)


def heavy_request(entries: int = 40, high_ft: float = 16) -> Json:
    """About 0.15 s of one core: no two sections of its wall are alike. With 12 entries and 8 ft a
    third of that, and still too much for the event loop."""
    return shipped_request(sloped_wall(entries, high_ft), soils=SOIL, **LABOR)


def heavy_comparison() -> Json:
    """A quarter of a second, with heights that fit."""
    quote = shipped_request(zigzag_wall(30), soils=SOIL, **LABOR)
    return {"quote": quote, "heights_that_fit": True}


@contextmanager
def service_over(catalog: Catalog, store: Store | None = None, **set_: int) -> Iterator[TestClient]:
    """A client of a service with these settings, which runs as long as the block."""
    app = create_app(Settings.model_construct().model_copy(update=set_), catalog, store)
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client
