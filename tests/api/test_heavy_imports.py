"""Suppliers' files that take long to read are read in other processes, with the same answers."""

from __future__ import annotations

import json
import math
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from functools import partial

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.operations.conditions import Conditions
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_merge import PriceFile
from service.operations.prices.imported import work_out
from service.operations.prices.price_imports import look_up, publish_import
from service.operations.stored_refusals import PreviewChangedError
from service.storage import Store
from tests.given.door import Counted, small_is, until_inside
from tests.given.heavy import heavy_request, service_over
from tests.given.price_files import csv_file
from tests.given.price_requests import NEAR, changes, publish, raised
from tests.given.problem_checks import assert_problem
from tests.given.served import NOTHING_YET, client_over

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

GOOD = csv_file("item,unit_cost,per", "block,7.10,each", "gravel,34.00,yd3")
MANY = csv_file("item,unit_cost,per", *(f"blxck{n},7.10,each" for n in range(5000)))


@pytest.fixture
def door(monkeypatch: pytest.MonkeyPatch) -> Counted:
    """How often the door was gone through in a test."""
    return Counted(monkeypatch)


def test_imports_are_worked_out_elsewhere(
    proof_catalog: Catalog, store: Store, monkeypatch: pytest.MonkeyPatch, door: Counted
) -> None:
    """A supplier's file above the bound is read in another process: what is shown and what is
    refused is the same to the byte, and the revision is the one that was shown. A call that is
    repeated reads nothing."""
    with service_over(proof_catalog, store, calculators=1) as client:
        assert publish(client, NEAR).status_code == 201
        small_is(monkeypatch, math.inf)
        here = _imported(client)
        assert door.times == 0
        small_is(monkeypatch, -1.0)
        assert _imported(client) == here
        assert door.times == 4
        shown = json.loads(here[0])
        head = {"If-Match": shown["etag"], "Idempotency-Key": "once"}
        query = {"mode": "write", "preview": shown["preview"]}
        first = _import(client, GOOD, head, **query)
        assert (first.status_code, first.json()["source_digest"]) == (201, shown["preview"])
        assert _import(client, GOOD, head, **query).content == first.content
        assert door.times == 5


def _imported(client: TestClient) -> list[bytes]:
    """A file is shown; others are shown and refused by their cells, and refused as a whole."""
    return [
        _import(client, GOOD).content,
        _import(client, MANY).content,
        _import(client, MANY, NOTHING_YET, mode="write", preview="0" * 64).content,
        _import(client, b'"').content,
    ]


def _import(
    client: TestClient, data: bytes, head: dict[str, str] | None = None, **query: str
) -> Response:
    """Send a supplier's file."""
    return client.post(
        "/v1/price-lists/yard/imports",
        content=data,
        params={"effective_from": "2026-06-01", **query},
        headers={"Content-Type": "text/csv", "X-Request-ID": "the-same", **(head or {})},
    )


def test_import_is_worked_out_again_after_another_publication(
    proof_catalog: Catalog, store: Store
) -> None:
    """A file that was worked out against a revision is held against the one that came meanwhile:
    its preview is then another one."""
    file = PriceFile(
        data=GOOD,
        kind="csv",
        mapping=ColumnMapping(),
        effective_from=date(2026, 6, 1),
        largest_change=Decimal(1),
    )
    with client_over(proof_catalog, store) as client:
        first = publish(client, NEAR)
        asked = look_up(store, proof_catalog, "yard", file)
        imported = work_out(proof_catalog, asked)
        second = publish(client, changes(raised("1.1")), etag=first.headers["etag"])
        conditions = Conditions(if_match=(second.headers["etag"],))
        publish_ = partial(publish_import, store, proof_catalog, asked, imported)
        with pytest.raises(PreviewChangedError):
            publish_(str(imported.digest), conditions, None)
        now = work_out(proof_catalog, look_up(store, proof_catalog, "yard", file))
        assert publish_(str(now.digest), conditions, None).outcome.status == 201


def test_imports_beyond_the_queue_are_told_to_come_again(
    proof_catalog: Catalog, store: Store
) -> None:
    """While one calculates and nobody may wait, a large file is 503 `busy` with Retry-After; a
    small one is answered."""
    service = service_over(proof_catalog, store, calculators=1, waiting_calculations=0)
    with service as client, ThreadPoolExecutor(1) as callers:
        running = callers.submit(client.post, "/v1/quotes", json=heavy_request(60, 20))
        until_inside(client, 1)
        refused = _import(client, MANY)
        assert_problem(refused, 503, "busy")
        assert int(refused.headers["retry-after"]) >= 1
        assert _import(client, GOOD).status_code == 200
        assert running.result().status_code == 200
