"""Price lists over HTTP on both databases: publish, read, compare, and quote with what is kept."""

import hashlib
import json
import threading
from collections.abc import Iterator

import pytest
from httpx2 import Response
from jsonschema import Draft202012Validator
from sqlalchemy import Engine, event
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import StorageGoneError, Store
from tests.given.price_requests import (
    BASE,
    LATEST,
    NEAR,
    changes,
    publish,
    raised,
)
from tests.given.problem_checks import assert_problem
from tests.given.quote_checks import assert_invariants
from tests.given.quote_requests import Json, level_wall, line_of, proof_request
from tests.given.served import NOTHING_YET, client_over


@pytest.fixture
def near(store: Store, proof_catalog: Catalog) -> Iterator[TestClient]:
    """A client of an application over an empty database."""
    with client_over(proof_catalog, store) as client:
        yield client


def test_publish_makes_the_first_revision(near: TestClient) -> None:
    """201 with the address and the ETag of revision 1, which reads back what was published."""
    response = publish(near, NEAR)
    assert (response.status_code, response.headers["location"]) == (201, f"{BASE}/1")
    answer = response.json()
    assert (answer["revision"], answer["new"], answer["items"], answer["added"]) == (1, True, 4, 4)
    read = near.get(f"{BASE}/1")
    assert read.json() | {"source_digest": ""} == {
        "id": "yard",
        "revision": 1,
        "source_digest": "",
        **NEAR,
    }
    assert read.headers["etag"] == response.headers["etag"] == answer["etag"]
    assert read.headers["etag"] == f'"{hashlib.sha256(read.content).hexdigest()}"'


def test_revisions_are_immutable_for_caches(near: TestClient) -> None:
    """A numbered revision may be kept for ever; latest is asked about each time and says which
    it is; 304 when the caller has it."""
    publish(near, NEAR)
    numbered, latest = near.get(f"{BASE}/1"), near.get(LATEST)
    assert numbered.headers["cache-control"] == "private, immutable, max-age=31536000"
    assert latest.headers["cache-control"] == "private, no-cache"
    assert latest.headers["content-location"] == f"{BASE}/1"
    assert numbered.content == latest.content
    has = {"If-None-Match": latest.headers["etag"]}
    assert [near.get(path, headers=has).status_code for path in (f"{BASE}/1", LATEST)] == [304, 304]


def test_publish_needs_the_state_it_changes(near: TestClient) -> None:
    """428 without a condition, 412 with an older ETag or where there is one already."""
    first = publish(near, NEAR).headers["etag"]
    body = changes(raised())
    assert_problem(near.post(BASE, json=body), 428, "precondition-required")
    assert_problem(
        near.post(BASE, json=body, headers={"If-Match": "*"}), 428, "precondition-required"
    )
    assert_problem(publish(near, body), 412, "precondition-failed")
    assert publish(near, body, etag=first).status_code == 201
    again = publish(near, changes(raised("1.10")), etag=first)
    assert_problem(again, 412, "precondition-failed")
    assert again.headers["etag"] == near.get(LATEST).headers["etag"]
    assert near.get(LATEST).json()["revision"] == 2


def test_publish_first_revision_needs_to_say_so(near: TestClient) -> None:
    """A list that isn't there takes If-None-Match: * and nothing else."""
    assert_problem(near.post(BASE, json=NEAR), 428, "precondition-required")
    assert_problem(publish(near, NEAR, etag='"a"'), 412, "precondition-failed")
    assert_problem(publish(near, changes(raised())), 404, "unknown-price-list")


def test_publish_the_same_file_again_makes_no_revision(near: TestClient) -> None:
    """What latest says already answers 200 with latest, whatever the condition; an older file
    makes a new revision."""
    first = publish(near, NEAR)
    for headers in ({}, NOTHING_YET, {"If-Match": '"old"'}, {"If-Match": first.headers["etag"]}):
        again = near.post(BASE, json=NEAR, headers=headers)
        assert (again.status_code, again.json()["revision"], again.json()["new"]) == (200, 1, False)
        assert again.headers["etag"] == first.headers["etag"]
    second = publish(near, changes(raised()), etag=first.headers["etag"])
    back = publish(near, NEAR, etag=second.headers["etag"])
    assert (back.status_code, back.json()["revision"]) == (201, 3)
    assert near.get(LATEST).json()["items"] == NEAR["items"]


def test_publish_the_same_sums_makes_no_revision(near: TestClient) -> None:
    """A list says what it said however its sums are written, and so does one whose change leaves
    every sum as it is; its preview says so before. A sum that is another one makes a revision."""
    terms = {"per_load": "85.00", "minimum_order": "300", "below_minimum": "40.5"}
    items = {**NEAR["items"], "sand": {"unit_cost": "0", "per": "yd3"}}
    listed = {**NEAR, "items": items, "delivery": {"Pit": terms}}
    tag = publish(near, listed).headers["etag"]
    other = {**NEAR, "items": {}, "delivery": {}}
    costs = {
        "block": "6.850",
        "a_cap": "5.1250",
        "pad_stone": "31",
        "gravel": "33.0",
        "sand": "0.0",
    }
    other["items"] = {item: {**items[item], "unit_cost": cost} for item, cost in costs.items()}
    other["delivery"] = {
        "Pit": {"per_load": "85", "minimum_order": "300.00", "below_minimum": "40.50"}
    }
    free = changes(raised("0.5", items=["sand"]), effective_from=NEAR["effective_from"])
    for body in (other, {**free, "note": NEAR["note"]}):
        assert near.post(f"{BASE}?mode=preview", json=body).json()["new"] is False
        same = publish(near, body, etag=tag)
        assert (same.status_code, same.json()["revision"], same.json()["new"]) == (200, 1, False)
    assert near.get(LATEST).json()["items"] == listed["items"]
    for at in ("per_load", "minimum_order", "below_minimum"):
        body = {**listed, "delivery": {"Pit": {**terms, at: "86.01"}}}
        made = publish(near, body, etag=tag)
        assert made.status_code == 201
        tag = made.headers["etag"]


def test_publish_changes_the_latest(near: TestClient) -> None:
    """Set, remove and adjust go one after the other; the rest stays. 6.85 x 1.04 = 7.124."""
    etag = publish(near, NEAR).headers["etag"]
    body = changes(
        {
            "set": {
                "pipe": {"unit_cost": "1.10", "per": "ft"},
                "gravel": {"unit_cost": "34", "per": "yd3"},
            }
        },
        raised(supplier="Plant"),
        {"remove": ["pad_stone"]},
        {"adjust": {"amount": "0.26", "items": ["pipe"], "round_to": "0.05"}},
    )
    answer = publish(near, body, etag=etag).json()
    assert (answer["added"], answer["changed"], answer["removed"]) == (1, 3, 1)
    latest = near.get(LATEST).json()
    costs = {item: price["unit_cost"] for item, price in latest["items"].items()}
    assert costs == {"a_cap": "5.33", "block": "7.124", "gravel": "34", "pipe": "1.35"}
    assert latest["items"]["gravel"]["supplier"] == "Pit"
    assert (latest["effective_from"], latest["note"]) == ("2026-06-01", "raised")
    assert near.get(f"{BASE}/1").json()["items"] == NEAR["items"]


@pytest.mark.parametrize(
    ("body", "code", "pointer"),
    [
        (changes(), "too-short", "/changes"),
        (changes({}), "change-unclear", "/changes/0"),
        (changes({"remove": ["block"], **raised()}), "change-unclear", "/changes/0"),
        (changes({"adjust": {}}), "change-unclear", "/changes/0/adjust"),
        (changes(raised(supplier="Plnt")), "adjusts-nothing", "/changes/0/adjust"),
        (changes({"remove": ["blck"]}), "unknown-item", "/changes/0/remove"),
        (changes(raised("0")), "decimal-invalid", "/changes/0/adjust/factor"),
        (changes({"adjust": {"amount": "-7"}}), "out-of-range", "/changes/0/adjust"),
        ({**NEAR, "effective_from": "soon"}, "date-invalid", "/effective_from"),
        ({**NEAR, "currency": "USD "}, "currency-invalid", "/currency"),
        (
            {**NEAR, "items": {"Block": {"unit_cost": "1", "per": "each"}}},
            "id-invalid",
            "/items/Block",
        ),
        (
            {**NEAR, "items": {"b": {"unit_cost": 6.85, "per": "each"}}},
            "number-not-text",
            "/items/b/unit_cost",
        ),
        (
            {**NEAR, "items": {"b": {"unit_cost": "-1", "per": "each"}}},
            "decimal-invalid",
            "/items/b/unit_cost",
        ),
        ({**NEAR, "colour": "red"}, "unknown-key", "/colour"),
        ([], "wrong-type", ""),
    ],
)
def test_publish_refuses_what_has_faults(
    near: TestClient, body: object, code: str, pointer: str
) -> None:
    """Every fault names its place, and nothing is stored."""
    etag = publish(near, NEAR).headers["etag"]
    response = publish(near, body, etag=etag)
    assert response.status_code == 422
    found = [(entry["code"], entry["pointer"]) for entry in response.json()["errors"]]
    assert (code, pointer) in found
    assert near.get(LATEST).json()["revision"] == 1


def test_publish_twice_with_a_key_makes_one_revision(near: TestClient) -> None:
    """The same key and body repeats the first outcome; another body is refused."""
    etag = publish(near, NEAR).headers["etag"]
    first = publish(near, changes(raised()), etag=etag, Idempotency_Key='"k1"')
    again = publish(near, changes(raised()), etag=etag, Idempotency_Key='"k1"')
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.content == again.content
    assert first.headers["etag"] == again.headers["etag"]
    assert "idempotent-replayed" not in first.headers
    assert again.headers["idempotent-replayed"] == "true"
    other = publish(near, changes(raised("1.05")), etag=etag, Idempotency_Key='"k1"')
    assert_problem(other, 422, "idempotency-key-reused")
    assert near.get(LATEST).json()["revision"] == 2


def test_two_who_publish_at_once_lose_nothing(near: TestClient) -> None:
    """Of ten that change the same state one wins; the others get 412, and can do it again."""
    etag = publish(near, NEAR).headers["etag"]
    answers: list[Response] = []

    def change(number: int) -> None:
        body = changes({"set": {f"item_{number}": {"unit_cost": "1.00", "per": "each"}}})
        answers.append(publish(near, body, etag=etag))

    threads = [threading.Thread(target=change, args=(number,)) for number in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(answer.status_code for answer in answers) == [201] + [412] * 9
    latest = near.get(LATEST)
    assert latest.json()["revision"] == 2
    assert len(latest.json()["items"]) == 5
    body = changes({"set": {"later": {"unit_cost": "1.00", "per": "each"}}})
    assert publish(near, body, etag=latest.headers["etag"]).status_code == 201
    assert len(near.get(LATEST).json()["items"]) == 6


def test_lists_of_the_catalog_are_not_published_to(near: TestClient) -> None:
    """An id that a file of the catalog has is 409."""
    response = near.post("/v1/price-lists/demo_2026/revisions", json=NEAR, headers=NOTHING_YET)
    assert_problem(response, 409, "price-list-in-catalog")


def test_latest_as_of_a_day_names_the_revision(near: TestClient) -> None:
    """The highest number that holds on the day, which need not be the last by date."""
    etag = publish(near, NEAR).headers["etag"]
    for day in ("2026-06-01", "2026-03-01"):
        etag = publish(near, changes(raised(), effective_from=day), etag=etag).headers["etag"]
    for day, number in (("2026-02-28", 1), ("2026-03-01", 3), ("2026-12-31", 3)):
        response = near.get(f"{LATEST}?as_of={day}")
        assert response.json()["revision"] == number
        assert response.headers["content-location"] == f"{BASE}/{number}"
    assert_problem(near.get(f"{LATEST}?as_of=2025-12-31"), 404, "unknown-revision")
    for query in ("as_of=2026-13-01", "as_of=soon", "as_of=", "at=2026-01-01"):
        assert_problem(near.get(f"{LATEST}?{query}"), 422, "parameter-invalid")
    assert_problem(near.get(f"{BASE}/1?as_of=2026-02-28"), 422, "parameter-invalid")


def test_as_of_stands_in_the_document_where_it_is_read(document: Json) -> None:
    """Of all operations only the latest revision of a price list takes a day."""
    taking = {
        operation["operationId"]
        for place in document["paths"].values()
        for operation in place.values()
        for parameter in operation.get("parameters", ())
        if parameter.get("$ref", "").endswith("/AsOf")
    }
    assert taking == {"read_latest_price_list_revision"}
    assert document["components"]["parameters"]["AsOf"]["name"] == "as_of"


def test_difference_tells_old_and_new(near: TestClient) -> None:
    """7.124 - 6.85 = 0.274, which is 4 % of 6.85; both ways, with latest, and of itself."""
    etag = publish(near, NEAR).headers["etag"]
    body = changes(raised(items=["block"]), {"remove": ["gravel"]})
    publish(near, body, etag=etag)
    found = near.get(f"{BASE}/1/difference/latest").json()
    assert (found["old"], found["new"], found["added"]) == (1, 2, [])
    assert found["removed"] == [{"item": "gravel", "unit_cost": "33.00", "per": "yd3"}]
    (block,) = found["changed"]
    assert (block["old"]["unit_cost"], block["new"]["unit_cost"]) == ("6.85", "7.124")
    assert (block["change"], block["percent"]) == ("0.274", "4.00")
    back = near.get(f"{BASE}/2/difference/1")
    # -0.274 / 7.124 = -3.846 %
    assert back.json()["changed"][0]["percent"] == "-3.85"
    assert back.headers["cache-control"] == "private, immutable, max-age=31536000"
    assert near.get(f"{BASE}/2/difference/2").json()["changed"] == []
    assert_problem(near.get(f"{BASE}/1/difference/7"), 404, "unknown-revision")
    assert_problem(near.get(f"{BASE}/1/difference/x"), 404, "unknown-revision")


def test_lists_name_every_price_list_and_revision(near: TestClient) -> None:
    """Files and stored lists by id, and the revisions of one, in pages."""
    etag = publish(near, NEAR).headers["etag"]
    for number in range(2, 13):
        etag = publish(near, changes(raised("1.01")), etag=etag).headers["etag"]
        assert near.get(LATEST).json()["revision"] == number
    lists = near.get("/v1/price-lists").json()["items"]
    kept = {item["id"]: (item["kept_in"], item["latest"]["revision"]) for item in lists}
    assert kept["yard"] == ("database", 12)
    assert kept["demo_2026"] == ("file", 2)
    assert list(kept) == sorted(kept)
    address: str | None = f"{BASE}?limit=5"
    numbers = []
    while address:
        page = near.get(address).json()
        numbers += [item["revision"] for item in page["items"]]
        address = page["next"]
    assert numbers == list(range(1, 13))
    first = near.get(BASE).json()["items"][0]
    assert first["published_at"] == "2026-05-04T00:00:00Z"
    assert (first["items"], first["note"], first["effective_from"]) == (4, "spring", "2026-01-01")
    (of_file,) = near.get("/v1/price-lists/demo_2026/revisions").json()["items"]
    assert of_file["revision"] == 2


def test_unknown_price_lists_are_not_found(near: TestClient) -> None:
    """An id that isn't there is 404 with the nearest one, of the catalog or the database."""
    publish(near, NEAR)
    for path, hint in (
        ("/v1/price-lists/yrad/revisions", "yard"),
        ("/v1/price-lists/demo_2025/revisions/latest", "demo_2026"),
    ):
        problem = assert_problem(near.get(path), 404, "unknown-price-list")
        assert problem["errors"][0]["hint"] == hint
    for path in ("/v1/price-lists/Yard/revisions", "/v1/price-lists/%00/revisions/1"):
        assert_problem(near.get(path), 422, "id-invalid")
    assert_problem(near.get(f"{BASE}/2"), 404, "unknown-revision")


def test_quote_names_a_stored_list(near: TestClient) -> None:
    """Latest is resolved once and echoed; a number is taken at its word, and costs accordingly."""
    etag = publish(near, NEAR).headers["etag"]
    publish(near, changes(raised("2")), etag=etag)
    found = {}
    for revision in (1, 2, "latest", None):
        prices = {"price_list": "yard", **({} if revision is None else {"revision": revision})}
        answer = near.post("/v1/quotes", json=proof_request(level_wall(), prices=prices)).json()
        block = line_of(answer, "block")
        source = block["price_source"]
        assert source["price_list"] == "yard"
        found[revision] = (answer["price_list"], block["unit_cost"])
        assert source["revision"] == answer["price_list"]["revision"]
    assert found[1] == ({"id": "yard", "revision": 1}, "6.85")
    assert found[2] == found["latest"] == found[None] == ({"id": "yard", "revision": 2}, "13.70")


def test_quote_with_a_stored_list_is_that_of_inline_costs(near: TestClient) -> None:
    """Where costs come from changes no amount."""
    publish(near, NEAR)
    inline = {"currency": "USD", "items": NEAR["items"]}
    price = [
        near.post("/v1/quotes", json=proof_request(level_wall(), prices=prices)).json()["price"]
        for prices in ({"price_list": "yard"}, inline)
    ]
    assert price[0]["total"] == price[1]["total"]
    assert [line["cost"] for line in price[0]["lines"]] == [
        line["cost"] for line in price[1]["lines"]
    ]


def test_quote_dated_before_its_list_is_cautioned(near: TestClient) -> None:
    """A quote dated before effective_from of a stored revision says so."""
    publish(near, NEAR)
    for day, expected in (("2025-12-31", True), ("2026-01-01", False)):
        prices = {"price_list": "yard"}
        request = proof_request(level_wall(), prices=prices, issued_on=day)
        answer = near.post("/v1/quotes", json=request).json()
        codes = [caution["code"] for caution in answer["cautions"]]
        assert ("prices_not_effective" in json.dumps(codes).replace("-", "_")) is expected, codes


def test_quote_with_an_unknown_list_or_revision_is_refused(near: TestClient) -> None:
    """422 with the nearest id of both, or the revisions there are."""
    publish(near, NEAR)
    for prices, code, hint in (
        ({"price_list": "yrad"}, "unknown-price-list", "yard"),
        ({"price_list": "demo_2025"}, "unknown-price-list", "demo_2026"),
        ({"price_list": "yard", "revision": 2}, "unknown-revision", "revision 1 to 1, or latest"),
    ):
        response = near.post("/v1/quotes", json=proof_request(level_wall(), prices=prices))
        assert assert_problem(response, 422, code)["errors"][0]["hint"] == hint


def test_answers_fit_the_document(near: TestClient) -> None:
    """What is answered fits the schemas of the OpenAPI document."""
    etag = publish(near, NEAR).headers["etag"]
    publish(near, changes(raised()), etag=etag)
    document = near.get("/openapi.json").json()
    for template, path in (
        ("/v1/price-lists", "/v1/price-lists"),
        ("/v1/price-lists/{id}/revisions", BASE),
        ("/v1/price-lists/{id}/revisions/{revision}", LATEST),
        ("/v1/price-lists/{id}/revisions/{revision}", "/v1/price-lists/demo_2026/revisions/2"),
        ("/v1/price-lists/{id}/revisions/{revision}/difference/{other}", f"{BASE}/1/difference/2"),
    ):
        answers = document["paths"][template]["get"]["responses"]
        schema = answers["200"]["content"]["application/json"]["schema"]
        validator = Draft202012Validator({**schema, "components": document["components"]})
        validator.validate(near.get(path).json())


def test_quote_pays_for_delivery(near: TestClient) -> None:
    """Delivery terms of a published list, and of one that changes it, become cost lines."""
    plant = {"per_load": "95.00", "load_weight": {"value": 22, "unit": "ton"}, "lead_days": 5}
    first = publish(near, {**NEAR, "delivery": {"Plant": plant}})
    assert near.get(LATEST).json()["delivery"] == {"Plant": {**plant, "load_weight": "22 ton"}}
    request = proof_request(level_wall(), prices={"price_list": "yard"})
    answer = near.post("/v1/quotes", json=request).json()
    assert_invariants(answer)
    freight = line_of(answer, "delivery_plant")
    assert (freight["kind"], freight["cost"]) == ("delivery", "95.00")
    assert freight["quantity"] == {"value": "1", "unit": "load"}
    second = publish(near, changes(raised()), etag=first.headers["etag"])
    assert near.get(LATEST).json()["delivery"]["Plant"]["per_load"] == "95.00"
    publish(near, {**changes(raised()), "delivery": {}}, etag=second.headers["etag"])
    assert "delivery" not in near.get(LATEST).json()


@pytest.mark.parametrize(
    ("plant", "code", "key"),
    [
        ({}, "field-missing", "per_load"),
        ({"per_load": 95}, "number-not-text", "per_load"),
        ({"per_load": "1", "load_weight": "22"}, "measurement-invalid", "load_weight"),
        ({"per_load": "1", "below_minimum": "1"}, "minimum-missing", "below_minimum"),
        ({"per_load": "1", "load_pallets": 0}, "out-of-range", "load_pallets"),
    ],
)
def test_delivery_terms_with_faults_are_refused(
    near: TestClient, plant: dict[str, object], code: str, key: str
) -> None:
    """Each fault of delivery terms names its place."""
    problem = assert_problem(publish(near, {**NEAR, "delivery": {"Plant": plant}}), 422, code)
    assert [entry["pointer"] for entry in problem["errors"]] == [f"/delivery/Plant/{key}"]


@pytest.mark.no_cover  # others run the same lines
def test_twins_with_one_key_make_one_revision(near: TestClient) -> None:
    """Of 40 calls at once with one key and body, one publishes and all get its outcome."""
    etag = publish(near, NEAR).headers["etag"]
    answers: list[Response] = []

    def call() -> None:
        answers.append(publish(near, changes(raised()), etag=etag, Idempotency_Key='"twin"'))

    threads = [threading.Thread(target=call) for _ in range(40)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {answer.status_code for answer in answers} == {201}
    assert len({answer.content for answer in answers}) == 1
    assert sum("idempotent-replayed" not in answer.headers for answer in answers) == 1
    assert near.get(LATEST).json()["revision"] == 2


def test_a_commit_that_fails_is_no_success(near: TestClient) -> None:
    """Where the commit raises the caller is told so, and nothing is stored."""
    etag = publish(near, NEAR).headers["etag"]

    def fail(_connection: object) -> None:
        raise StorageGoneError("the database went away")

    event.listen(Engine, "commit", fail)
    try:
        response = publish(near, changes(raised()), etag=etag, Idempotency_Key='"c1"')
    finally:
        event.remove(Engine, "commit", fail)
    assert_problem(response, 503, "storage-unavailable")
    assert near.get(LATEST).json()["revision"] == 1
    again = publish(near, changes(raised()), etag=etag, Idempotency_Key='"c1"')
    assert again.status_code == 201
    assert "idempotent-replayed" not in again.headers
