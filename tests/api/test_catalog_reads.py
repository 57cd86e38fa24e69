"""Reads of the catalog: lists in pages, entries, price-list revisions, ETags."""

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from starlette.testclient import TestClient

from service.api.v1.catalog.entries import RESOURCES
from service.catalog import Catalog
from tests.given.problem_checks import assert_problem

pytestmark = pytest.mark.no_cover  # others run the same lines

KINDS = [
    ("wall-systems", "wall_systems", "unknown-wall-system"),
    ("sections", "sections", "unknown-section"),
    ("soils", "soils", "unknown-soil"),
    ("materials", "materials", "unknown-material"),
    ("production-rates", "production_rates", "unknown-production-rates"),
    ("site-work", "site_work", "unknown-site-work"),
    ("terms", "terms", "unknown-terms"),
    ("screening-bases", "screening_bases", "unknown-screening-basis"),
    ("loads", "loads", "unknown-load"),
    ("jurisdictions", "jurisdictions", "unknown-jurisdiction"),
]


def test_every_kind_is_tried() -> None:
    """The list of kinds here and the routes' table agree."""
    assert [(r.path, r.kind, r.unknown) for r in RESOURCES] == KINDS


@pytest.mark.parametrize(("path", "kind", "_code"), KINDS)
def test_list_gives_every_entry_in_order(
    client: TestClient, catalog: Catalog, path: str, kind: str, _code: str
) -> None:
    """A list holds all entries of a kind as they stand in their files, by id, sources included."""
    response = client.get(f"/v1/{path}?limit=200")
    page = response.json()
    assert [item["id"] for item in page["items"]] == sorted(catalog.ids(kind))
    assert page["next"] is None
    assert "link" not in response.headers
    assert all(item["source"]["kind"] for item in page["items"])


@pytest.mark.parametrize(("path", "kind", "_code"), KINDS)
def test_entry_is_the_item_of_the_list(
    client: TestClient, catalog: Catalog, path: str, kind: str, _code: str
) -> None:
    """An entry read by its id is the same document as in the list."""
    id_ = catalog.ids(kind)[0]
    items = client.get(f"/v1/{path}").json()["items"]
    assert client.get(f"/v1/{path}/{id_}").json() == items[0]


@pytest.mark.parametrize(("path", "kind", "_code"), KINDS)
def test_answers_fit_the_document(
    client: TestClient,
    catalog: Catalog,
    document: dict[str, Any],
    path: str,
    kind: str,
    _code: str,
) -> None:
    """What is answered fits the schema that the OpenAPI document gives for it."""
    for address, template in (
        (f"/v1/{path}", f"/v1/{path}"),
        (f"/v1/{path}/{catalog.ids(kind)[0]}", f"/v1/{path}/{{id}}"),
    ):
        answers = document["paths"][template]["get"]["responses"]
        schema = answers["200"]["content"]["application/json"]["schema"]
        validator = Draft202012Validator({**schema, "components": document["components"]})
        validator.validate(client.get(address).json())


@pytest.mark.parametrize(("path", "_kind", "code"), KINDS)
@pytest.mark.parametrize(
    "id_", ["no_such_entry", "Clay", "a-b", "%00", "x" * 65, "..", "%e2%80%a8"]
)
def test_unknown_ids_are_not_found(
    client: TestClient, path: str, _kind: str, code: str, id_: str
) -> None:
    """An id that isn't there is 404 with the kind in its code; what can't be one is 422."""
    if id_ == "..":
        assert client.get(f"/v1/{path}/%2e%2e").status_code == 422
    elif id_ == "no_such_entry":
        assert_problem(client.get(f"/v1/{path}/{id_}"), 404, code)
    else:
        assert_problem(client.get(f"/v1/{path}/{id_}"), 422, "id-invalid")


def test_unknown_ids_hint_at_the_nearest(client: TestClient) -> None:
    """A misspelt id gets the nearest known one as its hint."""
    problem = assert_problem(client.get("/v1/soils/silty_snad"), 404, "unknown-soil")
    assert problem["errors"][0]["hint"] == "silty_sand"


def test_list_comes_in_pages(client: TestClient) -> None:
    """Following `next` gives each item once, in order; the header `Link` says the same."""
    whole = client.get("/v1/materials").json()["items"]
    address: str | None = "/v1/materials?limit=5"
    collected, pages = [], 0
    while address is not None:
        response = client.get(address)
        page = response.json()
        collected += page["items"]
        pages += 1
        expected = None if page["next"] is None else f'<{page["next"]}>; rel="next"'
        assert response.headers.get("link") == expected
        address = page["next"]
    assert collected == whole
    assert pages == -(-len(whole) // 5)


def test_cursor_outlives_its_entry(client: TestClient) -> None:
    """A page begins after the cursor's place, whether or not an entry stands there still."""
    place = b"clayz".hex()
    first = client.get(f"/v1/soils?cursor={place}").json()["items"][0]
    assert first["id"] == "loam"


def test_list_ends_with_a_full_page(client: TestClient) -> None:
    """A last page that is full has no next one."""
    number = len(client.get("/v1/soils").json()["items"])
    assert client.get(f"/v1/soils?limit={number}").json()["next"] is None


@pytest.mark.parametrize(
    "query",
    [
        "limit=0",
        "limit=201",
        "limit=-1",
        "limit=1_0",
        "limit=%201",
        "limit=1.0",
        "limit=",
        "limit=٣",
        "limit=1&limit=2",
        "cursor=",
        "cursor=!",
        "cursor=" + "61" * 65,
        "cursor=616",
        "cursor=6A",
        "cursor=clay",
        "cursor=YQ==",
        "cursor=_w",
        "cursor=%00",
        "page=2",
        "&&limit=0",
    ],
)
def test_list_refuses_odd_parameters(client: TestClient, query: str) -> None:
    """Parameters that are unknown, repeated or out of bounds are refused."""
    assert_problem(client.get(f"/v1/soils?{query}"), 422, "parameter-invalid")


def test_entry_refuses_parameters(client: TestClient) -> None:
    """An entry takes no parameters."""
    assert_problem(client.get("/v1/soils/clay?limit=1"), 422, "parameter-invalid")


READS = ["/v1/soils", "/v1/soils/clay", "/v1/price-lists/demo_2026/revisions/2", "/openapi.json"]


@pytest.mark.parametrize("path", READS)
def test_reads_carry_a_strong_etag(client: TestClient, path: str) -> None:
    """The same content has the same ETag whoever asks; a caller who has it gets 304."""
    first = client.get(path)
    tag = first.headers["etag"]
    assert tag.startswith('"')
    assert client.get(path, headers={"X-Request-ID": "other"}).headers["etag"] == tag
    for given in (tag, f'"x", {tag}', f"W/{tag}", "*"):
        response = client.get(path, headers={"If-None-Match": given})
        assert (response.status_code, response.content) == (304, b"")
        assert response.headers["etag"] == tag
        assert response.headers["cache-control"] == first.headers["cache-control"]
    assert client.get(path, headers={"If-None-Match": '"x"'}).status_code == 200


def test_entries_are_revalidated(client: TestClient) -> None:
    """A catalog entry may change with the next reload, so caches ask each time."""
    assert client.get("/v1/soils/clay").headers["cache-control"] == "private, no-cache"


def test_numbered_revision_is_immutable(client: TestClient) -> None:
    """A numbered revision of a price list never changes for caches."""
    response = client.get("/v1/price-lists/demo_2026/revisions/2")
    assert response.json()["revision"] == 2
    assert response.headers["cache-control"] == "private, immutable, max-age=31536000"


def test_latest_revision_names_its_number(client: TestClient) -> None:
    """`latest` is an alias: the same document, revalidated, with the address of the number."""
    response = client.get("/v1/price-lists/demo_2026/revisions/latest")
    numbered = client.get("/v1/price-lists/demo_2026/revisions/2")
    assert response.json() == numbered.json()
    assert response.headers["cache-control"] == "private, no-cache"
    assert response.headers["content-location"] == "/v1/price-lists/demo_2026/revisions/2"


@pytest.mark.parametrize("revision", ["1", "3", "0", "02", "-1", "newest", "1.0", "%00", "9" * 50])
def test_unknown_revisions_are_not_found(client: TestClient, revision: str) -> None:
    """A revision that the list doesn't have is 404."""
    response = client.get(f"/v1/price-lists/demo_2026/revisions/{revision}")
    assert_problem(response, 404, "unknown-revision")


def test_unknown_price_lists_are_not_found(client: TestClient) -> None:
    """A price list that isn't there is 404 with the nearest id."""
    response = client.get("/v1/price-lists/demo_2025/revisions/1")
    problem = assert_problem(response, 404, "unknown-price-list")
    assert problem["errors"][0]["hint"] == "demo_2026"


def test_answers_are_compact_utf8(client: TestClient) -> None:
    """JSON goes out without spaces and with its letters as they are."""
    response = client.get("/v1/soils/clay")
    assert response.headers["content-type"] == "application/json"
    compact = json.dumps(response.json(), ensure_ascii=False, separators=(",", ":"))
    assert response.content == compact.encode("utf-8")
