"""Sheets and drawings for the field: as the office has them, from answers without a sum."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.callers import FIELD, client_as
from tests.given.quote_requests import Json, level_wall, shipped_request
from tests.given.saved_quotes import URL, Keeper

DRAWN = ("plan", "elevation", "section", "order_of_work")
# A digest as it is printed.
DIGEST = re.compile(r"Quote [0-9a-f]{16}")


def job(**more: object) -> Json:
    """A wall that has everything a crew sheet prints, with markings of the office."""
    wall = level_wall(exposed="3 ft", surcharge="100 psf")
    terms = {"profit": {"markup": "1.50"}, "minimum_charge": "87654.32", "currency": "USD"}
    return shipped_request(wall, rates="small_crew", terms=terms, **more)


@pytest.fixture
def field(proof_catalog: Catalog, store: Store) -> Iterator[TestClient]:
    """A client that calls as the field, over the keeper's own database."""
    with client_as(FIELD, proof_catalog, store) as client:
        yield client


@pytest.mark.parametrize("kind", ["crew_sheet", *DRAWN])
def test_read_quote_document_gives_the_field_the_office_sheet(
    keeper: Keeper, field: TestClient, kind: str
) -> None:
    """Sheets and drawings of a saved quote are the office's, but for the digest, which is that of
    what the field sees."""
    saved = keeper.save(job(prices={"price_list": "demo_2026", "overrides": OVERRIDES}))
    path = f"{URL}/{saved['id']}/revisions/1/documents/{kind}"
    office, sheet = keeper.client.get(path), field.get(path)
    assert sheet.status_code == 200, sheet.text
    assert DIGEST.sub("", sheet.text) == DIGEST.sub("", office.text)
    if kind == "crew_sheet":
        assert sheet.headers["etag"] != office.headers["etag"]
        assert DIGEST.findall(sheet.text) != DIGEST.findall(office.text)


def test_make_document_makes_the_field_a_sheet_without_prices(
    keeper: Keeper, field: TestClient
) -> None:
    """A crew sheet of a request without prices says what the office's says; the words that only
    whoever prices reads stand on neither."""
    asked = job()
    bare = {key: value for key, value in asked.items() if key not in {"prices", "terms"}}
    office = keeper.client.post("/v1/documents/crew_sheet", json={"quote": asked})
    sheet = field.post("/v1/documents/crew_sheet", json={"quote": bare})
    assert sheet.status_code == 200, sheet.text
    assert DIGEST.sub("", sheet.text) == DIGEST.sub("", office.text)
    assert "markup" not in sheet.text


def test_make_document_asks_the_field_first_what_a_quote_assumes(field: TestClient) -> None:
    """A visit sheet names what is taken for granted, in no order of what it is worth; of stations
    alone it is the office's."""
    saved_sheet = field.post("/v1/documents/visit_sheet", json={"quote": job()})
    assert saved_sheet.status_code == 200, saved_sheet.text
    assert "its start is taken to end open" in saved_sheet.text
    stations = field.post("/v1/documents/visit_sheet", json={"stations": 4})
    assert stations.status_code == 200


def test_read_quote_document_gives_the_field_a_visit_sheet(
    keeper: Keeper, field: TestClient
) -> None:
    """A visit sheet of a saved quote names its assumptions."""
    saved = keeper.save(job())
    sheet = field.get(f"{URL}/{saved['id']}/revisions/1/documents/visit_sheet")
    assert sheet.status_code == 200, sheet.text
    assert "its start is taken to end open" in sheet.text


OVERRIDES = {"terrace_8in": {"unit_cost": "98765.43", "per": "each"}}
