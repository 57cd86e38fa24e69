"""Import over HTTP on both databases: preview first, then all of it or nothing."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from httpx2 import Response
from jsonschema import Draft202012Validator
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.price_files import HOSTILE_CSV, HOSTILE_WORKBOOKS, csv_file, workbook
from tests.given.price_requests import (
    BASE,
    LATEST,
    NEAR,
    changes,
    publish,
    raised,
)
from tests.given.problem_checks import assert_problem
from tests.given.served import NOTHING_YET, client_over
from tests.given.stores import ON_SQLITE

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

IMPORTS = "/v1/price-lists/yard/imports"
MAPPING = "/v1/price-lists/yard/column-mapping"
CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
GOOD = csv_file("item,unit_cost,per", "block,7.10,each", "gravel,34.00,yd3", "a_cap,5.125,each")
BAD = csv_file("item,unit_cost,per", "block,7.10,each", 'gravel,"34,00",yd3', "stone,1,each")
DAY = {"effective_from": "2026-06-01"}


@pytest.fixture
def near(store: Store, proof_catalog: Catalog) -> Iterator[TestClient]:
    """A client of an application over a database with one price list."""
    with client_over(proof_catalog, store) as client:
        publish(client, NEAR)
        yield client


def send(
    client: TestClient,
    data: bytes,
    *,
    kind: str = CSV,
    headers: dict[str, str] | None = None,
    **query: str,
) -> Response:
    """Send a file."""
    sent = {"Content-Type": kind, **(headers or {})}
    return client.post(IMPORTS, content=data, params={**DAY, **query}, headers=sent)


def written(client: TestClient, data: bytes, preview: dict[str, Any], **query: str) -> Response:
    """Write what a preview showed."""
    headers = {"If-Match": preview["etag"]} if preview["etag"] else NOTHING_YET
    return send(
        client, data, headers=headers, mode="write", preview=preview["preview"] or "0" * 64, **query
    )


def test_preview_shows_what_would_change_and_stores_nothing(near: TestClient) -> None:
    """Added, changed and unchanged items: 7.10 - 6.85 = 0.25, 34 - 33 = 1."""
    preview = send(near, GOOD, note="June").json()
    assert preview["importable"] is True
    found = {changed["item"]: changed["change"] for changed in preview["changed"]}
    assert found == {"block": "0.25", "gravel": "1"}
    assert (preview["rows"], preview["added_total"], preview["removed_total"]) == (3, 0, 0)
    assert preview["unchanged"] == 1
    assert preview["etag"] == near.get(LATEST).headers["etag"]
    assert near.get(LATEST).json()["revision"] == 1


def test_write_makes_the_revision_that_was_shown(near: TestClient) -> None:
    """The file's costs are in revision 2 with its day and note; what it doesn't name stays."""
    preview = send(near, GOOD, note="June").json()
    response = written(near, GOOD, preview, note="June")
    assert (response.status_code, response.headers["location"]) == (201, f"{BASE}/2")
    latest = near.get(LATEST).json()
    assert latest["source_digest"] == preview["preview"]
    costs = {item: price["unit_cost"] for item, price in latest["items"].items()}
    assert costs == {"a_cap": "5.125", "block": "7.10", "gravel": "34.00", "pad_stone": "31.00"}
    assert latest["items"]["block"]["supplier"] == "Plant"
    assert (latest["note"], latest["effective_from"]) == ("June", "2026-06-01")
    again = send(near, GOOD, mode="write", preview=preview["preview"], note="June")
    assert (again.status_code, again.json()["revision"]) == (200, 2)


def test_faults_are_shown_by_cell_and_keep_everything_out(near: TestClient) -> None:
    """A preview lists every fault with its cell; a write of the same file is 422 and no row of it
    is stored."""
    preview = send(near, BAD).json()
    assert (preview["importable"], preview["preview"], preview["faults_total"]) == (False, None, 2)
    assert [(fault["cell"], fault["code"]) for fault in preview["faults"]] == [
        ("line 3, column B", "decimal-comma"),
        ("line 4, column A", "unknown-item"),
    ]
    problem = assert_problem(written(near, BAD, preview), 422, "request-invalid")
    assert [entry["pointer"] for entry in problem["errors"]] == [
        "/line 3, column B",
        "/line 4, column A",
    ]
    assert near.get(LATEST).json()["revision"] == 1


def test_write_names_its_preview(near: TestClient) -> None:
    """Without a preview, with a wrong one or after another publication nothing is written."""
    preview = send(near, GOOD).json()
    match = {"If-Match": preview["etag"]}
    assert_problem(send(near, GOOD, headers=match, mode="write"), 422, "parameter-invalid")
    other = send(near, GOOD, headers=match, mode="write", preview="0" * 64)
    assert_problem(other, 409, "changed-since-preview")
    assert_problem(
        send(near, GOOD, mode="write", preview=preview["preview"]), 428, "precondition-required"
    )
    publish(near, changes(raised()), etag=preview["etag"])
    assert_problem(written(near, GOOD, preview), 412, "precondition-failed")
    assert near.get(LATEST).json()["revision"] == 2


def test_write_with_a_key_is_done_once(near: TestClient) -> None:
    """The same key and file repeats the first outcome."""
    preview = send(near, GOOD).json()
    headers = {"If-Match": preview["etag"], "Idempotency-Key": '"i1"'}
    query = {"mode": "write", "preview": preview["preview"]}
    first = send(near, GOOD, headers=headers, **query)
    again = send(near, GOOD, headers=headers, **query)
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.headers["idempotent-replayed"] == "true"
    assert again.content == first.content


def test_first_revision_comes_from_a_workbook(store: Store, proof_catalog: Catalog) -> None:
    """A list that isn't there is made of a workbook, with the currency it names."""
    rows = (["item", "unit_cost", "per", "currency"], ["block", 6.85, "each", "USD"])
    data = workbook(*rows)
    with client_over(proof_catalog, store) as client:
        preview = send(client, data, kind=XLSX).json()
        assert (preview["etag"], preview["added_total"]) == (None, 1)
        response = send(
            client, data, kind=XLSX, headers=NOTHING_YET, mode="write", preview=preview["preview"]
        )
        assert response.status_code == 201
        assert client.get(LATEST).json()["items"] == {"block": {"unit_cost": "6.85", "per": "each"}}


def test_saved_mapping_holds_until_a_call_brings_its_own(near: TestClient) -> None:
    """A mapping is saved under conditions, read back with its ETag, used, and passed over where
    the call has one."""
    german = {
        "columns": {"item": "Artikel", "unit_cost": "Preis", "per": "ME"},
        "items": {"4711": "block"},
        "units": {"STK": {"per": "each"}},
        "decimal": "comma",
        "delimiter": ";",
    }
    data = csv_file("Artikel;Preis;ME", "4711;7,10;STK")
    assert_problem(near.get(MAPPING), 404, "unknown-column-mapping")
    assert_problem(near.put(MAPPING, json=german), 428, "precondition-required")
    first = near.put(MAPPING, json=german, headers=NOTHING_YET)
    assert (first.status_code, near.get(MAPPING).json()) == (201, german)
    assert near.get(MAPPING).headers["etag"] == first.headers["etag"]
    assert_problem(near.put(MAPPING, json={}, headers=NOTHING_YET), 412, "precondition-failed")
    assert send(near, data).json()["changed"][0]["new"]["unit_cost"] == "7.10"
    assert send(near, GOOD, mapping="{}").json()["changed_total"] == 2
    second = near.put(MAPPING, json={}, headers={"If-Match": first.headers["etag"]})
    assert second.status_code == 200
    assert send(near, data).json()["faults"][0]["code"] == "heading-missing"


@pytest.mark.parametrize(
    ("mapping", "code"),
    [
        ({"colums": {}}, "unknown-key"),
        ({"units": {"EA": {"per": "dozen"}}}, "unknown-choice"),
        ({"items": {"1": "No id"}}, "id-invalid"),
        ({"header_row": 0}, "out-of-range"),
        ([], "wrong-type"),
    ],
)
def test_mapping_with_faults_is_refused(near: TestClient, mapping: object, code: str) -> None:
    """A mapping is checked when it is saved, and when a call brings it."""
    assert_problem(near.put(MAPPING, json=mapping, headers=NOTHING_YET), 422, code)
    assert_problem(send(near, GOOD, mapping=json.dumps(mapping)), 422, code)


def test_absent_items_go_where_the_mapping_says_so(near: TestClient) -> None:
    """With absent_items remove, items of the file's suppliers that it lacks are no longer sold;
    other suppliers' stay."""
    data = csv_file("item,unit_cost,per,supplier", "block,7.10,each,Plant")
    preview = send(near, data, mapping='{"absent_items": "remove"}').json()
    assert [item["item"] for item in preview["removed"]] == ["a_cap"]


@pytest.mark.parametrize(
    "query",
    [
        {"effective_from": "soon"},
        {"effective_from": ""},
        {"mode": "try"},
        {"preview": "0" * 64},
        {"mode": "write", "preview": "x"},
        {"note": ""},
        {"note": "a\nb"},
        {"mapping": "{"},
        {"dry": "true"},
    ],
)
def test_imports_refuse_what_they_cannot_mean(near: TestClient, query: dict[str, str]) -> None:
    """Each parameter is checked before the file is read."""
    sent = {"Content-Type": CSV}
    response = near.post(IMPORTS, content=GOOD, params={**DAY, **query}, headers=sent)
    assert_problem(response, 422, "parameter-invalid")


@pytest.mark.parametrize(
    "kind", ["application/json", "text/plain", "", "text/csv; charset=latin-1"]
)
def test_imports_take_csv_and_workbooks_only(near: TestClient, kind: str) -> None:
    """Another media type is 415."""
    assert_problem(send(near, GOOD, kind=kind), 415, "media-type-unsupported")


@pytest.mark.parametrize(
    ("name", "data"),
    [("csv", GOOD), ("xlsx", workbook(["item", "unit_cost", "per"], ["block", 7.1, "each"]))],
)
def test_octets_are_read_by_their_format(near: TestClient, name: str, data: bytes) -> None:
    """A file sent as octets is the same file: `format` says what it is."""
    octets = send(near, data, kind="application/octet-stream", format=name)
    assert octets.status_code == 200, octets.text
    assert octets.json() == send(near, data, kind=CSV if name == "csv" else XLSX).json()


@pytest.mark.parametrize(
    ("kind", "query"),
    [
        ("application/octet-stream", {}),
        ("application/octet-stream", {"format": "pdf"}),
        (CSV, {"format": "xlsx"}),
    ],
)
def test_format_and_media_type_agree(near: TestClient, kind: str, query: dict[str, str]) -> None:
    """Octets without a format say nothing; a format that contradicts the media type is refused."""
    sent = {"Content-Type": kind}
    refused = near.post(IMPORTS, content=GOOD, params={**DAY, **query}, headers=sent)
    assert_problem(refused, 422, "parameter-invalid")


def test_imports_take_16_mebibytes(near: TestClient) -> None:
    """A file of more than 1 MiB is read; one of more than 16 MiB is 413."""
    long = csv_file("item,unit_cost,per,x", *(f"block,7.10,each,{'x' * 1000}" for _ in range(1500)))
    preview = send(near, long).json()
    assert (preview["rows"], preview["changed_total"]) == (1500, 1)
    assert_problem(send(near, b"x" * (16 * 1024 * 1024 + 1)), 413, "body-too-large")


REFUSED_WORKBOOKS = {
    "far cells": "workbook-invalid",
    "great ratio": "file-too-large",
    "random": "workbook-invalid",
    "cut off": "workbook-invalid",
}


@ON_SQLITE
@pytest.mark.parametrize(("name", "code"), REFUSED_WORKBOOKS.items())
def test_imports_survive_hostile_workbooks(near: TestClient, name: str, code: str) -> None:
    """A hostile workbook is refused, and the service answers on."""
    assert_problem(send(near, HOSTILE_WORKBOOKS[name](), kind=XLSX), 422, code)
    assert near.get("/health/live").status_code == 200


@ON_SQLITE
def test_imports_expand_no_entities(near: TestClient) -> None:
    """A workbook whose text is an entity of entities is read, and has none."""
    preview = send(near, HOSTILE_WORKBOOKS["entities"](), kind=XLSX).json()
    assert [fault["code"] for fault in preview["faults"]] == ["file-empty"]


# What can't be read at all; what is read and has faults in its cells; a line end of old machines.
CSV_TOLD = {
    "empty": (200, ["heading-missing"]),
    "blank lines": (200, ["heading-missing"] * 3),
    "mark alone": (200, ["heading-missing"]),
    "UTF-16": (200, []),
    "Latin-1": (200, ["file-encoding"]),
    "NUL": (200, ["file-encoding"]),
    "text after a quote": (422, ["csv-invalid"]),
    "quote never closed": (422, ["csv-invalid"]),
    "long field": (200, ["too-long"]),
    "field over the bound": (200, ["too-long"]),
    "5,000,000 columns": (422, ["file-too-large"]),
    "200,000 rows": (422, ["file-too-large"]),
    "a workbook": (422, ["csv-invalid"]),
    "formula": (200, ["decimal-invalid"]),
    "command": (200, ["unknown-item"]),
    "lone return": (200, []),
}


@ON_SQLITE
@pytest.mark.parametrize("name", list(HOSTILE_CSV))
def test_imports_survive_hostile_csv(near: TestClient, name: str) -> None:
    """Text that is no CSV is refused; CSV with faults is shown with them and can't be written."""
    status, codes = CSV_TOLD[name]
    response = send(near, HOSTILE_CSV[name]())
    if status == 422:
        assert_problem(response, 422, codes[0])
    else:
        preview = response.json()
        assert [fault["code"] for fault in preview["faults"]] == codes
        assert (response.status_code, preview["importable"]) == (200, not codes)


def test_answers_fit_the_document(near: TestClient) -> None:
    """Previews, with and without faults, and mappings fit the schemas of the OpenAPI document."""
    near.put(MAPPING, json={}, headers=NOTHING_YET)
    document = near.get("/openapi.json").json()
    paths = document["paths"]
    answers = (
        (paths["/v1/price-lists/{id}/imports"]["post"], send(near, GOOD)),
        (paths["/v1/price-lists/{id}/imports"]["post"], send(near, BAD)),
        (paths["/v1/price-lists/{id}/column-mapping"]["get"], near.get(MAPPING)),
    )
    for operation, answer in answers:
        schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
        validator = Draft202012Validator({**schema, "components": document["components"]})
        validator.validate(answer.json())


def test_import_keeps_the_suppliers_own_numbers(near: TestClient) -> None:
    """A number that the mapping names an item for stays with the item: in the revision, and on the
    supplier's order. A file that names items by their ids says nothing of numbers."""
    mapping = {"items": {"PX-104": "block"}}
    assert near.put(MAPPING, json=mapping, headers=NOTHING_YET).status_code == 201
    file = csv_file("item,unit_cost,per", "PX-104,7.10,each", "gravel,34.00,yd3")
    preview = send(near, file).json()
    assert [entry["new"].get("supplier_item") for entry in preview["changed"]] == ["PX-104", None]
    assert written(near, file, preview).status_code == 201
    items = near.get(LATEST).json()["items"]
    assert items["block"]["supplier_item"] == "PX-104"
    assert "supplier_item" not in items["gravel"]
