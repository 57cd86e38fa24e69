"""Sheets and drawings for the field: as the office has them, from answers without a sum."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from tests.given.callers import Service, service_with_keys
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import Json, level_wall, read, shipped_request
from tests.given.saved_quotes import URL

DRAWN = ("plan", "elevation", "section", "order_of_work")
# A digest as it is printed.
DIGEST = re.compile(r"Quote [0-9a-f]{16}")


def job(**more: object) -> Json:
    """A wall that has everything a crew sheet prints, with markings of the office."""
    wall = level_wall(exposed="3 ft", surcharge="100 psf")
    terms = {"profit": {"markup": "1.50"}, "minimum_charge": "87654.32", "currency": "USD"}
    return shipped_request(wall, rates="small_crew", terms=terms, **more)


OVERRIDES = {"terrace_8in": {"unit_cost": "98765.43", "per": "each"}}


@pytest.fixture(scope="module")
def service(catalog: Catalog, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """A service with keys, over the shipped catalog."""
    with service_with_keys(catalog, tmp_path_factory.mktemp("keys")) as service:
        yield service


@pytest.fixture(scope="module")
def field(service: Service) -> TestClient:
    """A client with a key for the field."""
    return service.client("field")


@pytest.fixture(scope="module")
def saved(service: Service) -> str:
    """The address of a saved quote's first revision."""
    asked = job(prices={"price_list": "demo_2026", "overrides": OVERRIDES})
    kept = read(service.office.post(URL, json={"quote": asked}))
    return f"{URL}/{kept['id']}/revisions/1/documents"


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("kind", ["crew_sheet", *DRAWN])
def test_read_quote_document_gives_the_field_the_office_sheet(
    service: Service, field: TestClient, saved: str, kind: str
) -> None:
    """Sheets and drawings of a saved quote are the office's, but for the digest, which is that of
    what the field sees."""
    office, sheet = service.office.get(f"{saved}/{kind}"), field.get(f"{saved}/{kind}")
    assert sheet.status_code == 200, sheet.text
    assert DIGEST.sub("", sheet.text) == DIGEST.sub("", office.text)
    if kind == "crew_sheet":
        assert sheet.headers["etag"] != office.headers["etag"]
        assert DIGEST.findall(sheet.text) != DIGEST.findall(office.text)


@pytest.mark.no_cover  # others run the same lines
def test_make_document_makes_the_field_a_sheet_without_prices(
    service: Service, field: TestClient
) -> None:
    """A crew sheet of a request without prices says what the office's says; the words that only
    whoever prices reads stand on neither."""
    asked = job()
    bare = {key: value for key, value in asked.items() if key not in {"prices", "terms"}}
    office = service.office.post("/v1/documents/crew_sheet", json={"quote": asked})
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


def test_read_quote_document_gives_the_field_a_visit_sheet(field: TestClient, saved: str) -> None:
    """A visit sheet of a saved quote names its assumptions."""
    sheet = field.get(f"{saved}/visit_sheet")
    assert sheet.status_code == 200, sheet.text
    assert "its start is taken to end open" in sheet.text


@pytest.mark.parametrize("kind", ["customer_quote", "job_cost_sheet", "supplier_order", "contract"])
def test_documents_with_prices_are_not_for_the_field(
    field: TestClient, saved: str, kind: str
) -> None:
    """A kind of document has the scope of its row; the field's key isn't enough."""
    assert_problem(field.get(f"{saved}/{kind}"), 403, "scope-missing")
    made = field.post(f"/v1/documents/{kind}", json={"quote": job()})
    assert_problem(made, 403, "scope-missing")
