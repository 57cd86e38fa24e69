"""Quotes for the field: what the office is answered, without a sum, a rate or a supplier."""

from __future__ import annotations

import asyncio
import hashlib
import json
import math
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.calculators import Bounds, Door
from service.catalog import Catalog
from tests.given.callers import Service, service_with_keys
from tests.given.door import Counted, small_is
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import (
    Json,
    level_wall,
    proof_request,
    quoted,
    read,
    shipped_request,
)

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples"
PARTS = ("request", "response")
# Said to the field word for word as to the office.
SAME = (
    "engine_version", "catalog_version", "units", "levels_are", "materials_only", "title",
    "reference", "issued_on", "walls", "quantities", "delivered", "earthwork", "order_of_work",
    "engineering", "checks", "always",
)  # fmt: skip
MORE = {"digest", "labor", "screening", "cautions", "assumptions"}
# Codes of the cautions of the shipped places that are about prices.
OFFICE_CODES = {"price-tax-assumed", "markup-above-cost", "prices-not-effective"}


def without(document: Json, *keys: str) -> Json:
    """A document without some keys."""
    return {key: value for key, value in document.items() if key not in keys}


def example_requests() -> list[Json]:
    """The requests of the examples of quotes that are quoted at a price list."""
    folder = EXAMPLES / "quote_walls"
    pairs = [
        tuple(json.loads((folder / f"{name}.{part}.json").read_text("utf-8")) for part in PARTS)
        for name in sorted({file.name.partition(".")[0] for file in folder.iterdir()})
    ]
    return [
        without(request, "what_if")
        for request, response in pairs
        if "digest" in response
        and request["prices"].keys() <= {"price_list", "revision"}
        and not isinstance(request.get("rates"), dict)
    ]


@pytest.fixture(scope="module")
def service(proof_catalog: Catalog, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """A service with keys, over the shipped catalog and the small one."""
    with service_with_keys(proof_catalog, tmp_path_factory.mktemp("keys")) as service:
        yield service


@pytest.fixture(scope="module")
def office(service: Service) -> TestClient:
    """A client that sees prices."""
    return service.office


@pytest.fixture(scope="module")
def field(service: Service) -> TestClient:
    """A client with a key for the field."""
    return service.client("field")


def errors_of(response: Response) -> list[Json]:
    """The faults for which a request is refused."""
    problem = assert_problem(response, 422, read(response)["code"])
    return list(problem["errors"])


def keys_in(value: object) -> Iterator[str]:
    """Every key of a document."""
    if isinstance(value, dict):
        for key, part in value.items():
            yield key
            yield from keys_in(part)
    elif isinstance(value, list):
        for part in value:
            yield from keys_in(part)


@pytest.mark.parametrize("asked", example_requests())
def test_quote_walls_answers_the_field_as_the_office_but_for_money(
    office: TestClient, field: TestClient, asked: Json
) -> None:
    """Walls, quantities, earthwork, labor, order of work, checks and cautions are the office's; no
    other key stands in the answer."""
    full, answer = quoted(office, asked), quoted(field, asked)
    assert answer.keys() <= {*SAME, *MORE}
    for key in SAME:
        assert answer.get(key) == full.get(key), key
    if "labor" in full:
        assert answer["labor"] == without(full["labor"], "choice")
    heeded = [each for each in full["cautions"] if each["code"] not in OFFICE_CODES]
    assert answer["cautions"] == heeded
    parts = ("/terms", "/rates", "/prices")
    kept = [each for each in full["assumptions"] if not each["field"].startswith(parts)]
    assert answer["assumptions"] == kept


@pytest.mark.parametrize("reinforcement", ["none", "where_needed"])
def test_quote_walls_names_no_sum_to_the_field(field: TestClient, reinforcement: str) -> None:
    """No key of money stands anywhere in the answer, with layers and changes that would pass."""
    asked = shipped_request(
        level_wall(exposed="7 ft", surcharge="100 psf"),
        rates="small_crew",
        terms="standard",
        soils={"retained": "silty_sand"},
        screening={"reinforcement": reinforcement},
        what_if=True,
    )
    answer = quoted(field, asked)
    money = {
        "price", "total", "difference", "price_effect", "changes_total_by", "cost", "choice",
        "margin", "currency", "price_list", "valid_until", "unit_cost", "deposit",
    }  # fmt: skip
    assert not money & set(keys_in(answer))
    assert any("if_instead" in each for each in answer["assumptions"])
    screened = {"would_pass", "why_none"} if reinforcement == "none" else {"reinforcement"}
    assert screened & answer["screening"].keys()


def test_cautions_about_prices_are_for_the_office(field: TestClient, office: TestClient) -> None:
    """A markup above the cost is a caution of the office: the field is not told how high it is,
    in quotes and in comparisons."""
    asked = shipped_request(terms={"profit": {"markup": "1.50"}})
    codes = [
        {caution["code"] for caution in quoted(client, asked)["cautions"]}
        for client in (office, field)
    ]
    assert codes[0] - codes[1] == {"markup-above-cost"}
    body = {"quote": asked, "alternatives": [{"section": "deep_pad"}]}
    assert "markup" in office.post("/v1/comparisons", json=body).text
    assert "markup" not in field.post("/v1/comparisons", json=body).text


def test_quote_walls_digests_the_field_answer_itself(field: TestClient, office: TestClient) -> None:
    """The digest is SHA-256 over the sorted, compact form of the very answer, without it."""
    answer = quoted(field, shipped_request())
    plain = json.dumps(
        without(answer, "digest"), sort_keys=True, separators=(",", ":"), ensure_ascii=False
    )
    assert answer["digest"] == hashlib.sha256(plain.encode()).hexdigest()
    assert answer["digest"] != quoted(office, shipped_request())["digest"]


def test_quote_walls_asks_the_field_for_no_prices(field: TestClient) -> None:
    """Prices and terms may be left out; what is laid is the same, and the list alone changes how
    bulk is ordered."""
    asked = without(shipped_request(rates="small_crew"), "prices")
    answer, listed = quoted(field, asked), quoted(field, shipped_request(rates="small_crew"))
    for key in ("walls", "labor", "order_of_work", "checks", "cautions"):
        assert answer[key] == listed[key]
    net = [(line["item"], line["net"]) for line in answer["quantities"]]
    assert net == [(line["item"], line["net"]) for line in listed["quantities"]]


def test_quote_walls_asks_the_office_for_prices(field: TestClient, office: TestClient) -> None:
    """The office has to name prices; the field may leave them out."""
    asked = without(proof_request(), "prices")
    assert quoted(field, asked)["walls"]
    errors = errors_of(office.post("/v1/quotes", json=asked))
    assert [each["pointer"] for each in errors] == ["/prices"]


@pytest.mark.parametrize(
    ("part", "pointer"),
    [
        ({"prices": {"price_list": "demo_2026", "overrides": {}}}, "/prices/overrides"),
        ({"prices": {"currency": "USD", "items": {}}}, "/prices/items"),
        ({"rates": {"base": "small_crew", "overrides": {}}}, "/rates/overrides"),
    ],
)
def test_quote_walls_takes_no_cost_of_the_field(
    field: TestClient, part: Json, pointer: str
) -> None:
    """Overrides and inline items are unknown keys to the field."""
    asked = shipped_request(rates="small_crew") | part
    errors = errors_of(field.post("/v1/quotes", json=asked))
    assert (pointer, "unknown-key") in [(each["pointer"], each["code"]) for each in errors]


def test_quote_walls_tells_the_field_nothing_of_what_is_not_priced(
    field: TestClient, office: TestClient
) -> None:
    """Faults of the price step reach the field as one, without an item or a figure."""
    terms = {"profit": {"markup": "0.2"}, "minimum_charge": "87654.32", "currency": "EUR"}
    asked = shipped_request(rates="small_crew", terms=terms)
    errors = errors_of(office.post("/v1/quotes", json=asked))
    assert "currency-mismatch" in [each["code"] for each in errors]
    response = field.post("/v1/quotes", json=asked)
    assert [each["code"] for each in errors_of(response)] == ["not-priced"]
    assert "EUR" not in response.text
    assert "87654" not in response.text


def test_quote_walls_hints_the_field_at_no_price_list(field: TestClient) -> None:
    """An unknown price list is told without the name of another one."""
    asked = shipped_request(prices={"price_list": "demo_2025"}, terms="standart")
    response = field.post("/v1/quotes", json=asked)
    codes = {each["code"]: each["hint"] for each in errors_of(response)}
    assert codes == {"unknown-price-list": None, "unknown-terms": None}
    assert "demo_2026" not in response.text


def test_quote_batch_answers_the_field_line_by_line(field: TestClient) -> None:
    """Each line of a batch is the answer that the field gets alone; a fault stays in its line."""
    asked = [shipped_request(), without(shipped_request(), "prices"), proof_request()]
    lines = "\n".join(map(json.dumps, asked))
    response = field.post(
        "/v1/quotes/batch", content=lines, headers={"Content-Type": "application/x-ndjson"}
    )
    first, second, third, end = map(json.loads, response.text.splitlines())
    assert first["quote"] == quoted(field, asked[0])
    assert second["quote"] == quoted(field, asked[1])
    assert third["status"] == 422
    assert end["failed"] == 1
    array = read(field.post("/v1/quotes/batch", json=asked[:2]))
    assert [item["quote"] for item in array["items"]] == [first["quote"], second["quote"]]


@pytest.mark.parametrize("named", [True, False])
def test_compare_quotes_sets_no_sum_beside_another_for_the_field(
    field: TestClient, office: TestClient, *, named: bool
) -> None:
    """Options and heights are those of the office, but for sums."""
    quote = shipped_request(rates="small_crew")
    body = {
        "quote": quote if named else without(quote, "prices"),
        "alternatives": [{"section": "deep_pad"}, {"wall_system": "garden_6in"}],
        "heights_that_fit": True,
    }
    answer = read(field.post("/v1/comparisons", json=body))
    full = read(office.post("/v1/comparisons", json={**body, "quote": quote}))
    assert answer == _without_sums(full)


def _without_sums(value: Any) -> Any:  # noqa: ANN401  as JSON has it
    """An office's comparison without its sums."""
    sums = {
        "currency", "direct_cost", "subtotal", "total", "difference", "margin", "complete"
    }  # fmt: skip
    if isinstance(value, dict):
        return {key: _without_sums(part) for key, part in value.items() if key not in sums}
    return [_without_sums(part) for part in value] if isinstance(value, list) else value


def test_compare_quotes_says_of_an_option_that_it_is_not_priced(
    field: TestClient,
) -> None:
    """An option whose units have no price in the list has one fault, without a name."""
    body = {
        "quote": shipped_request(),
        "alternatives": [{"wall_system": "proof", "section": "proof"}],
    }
    answer = read(field.post("/v1/comparisons", json=body))
    (option,) = answer["alternatives"]
    assert option["figures"] is None
    assert [fault["code"] for fault in option["faults"]] == ["not-priced"]


@pytest.fixture
def door(service: Service, monkeypatch: pytest.MonkeyPatch) -> Iterator[Counted]:
    """The door to another process, and how often it was gone through."""
    state, made = service.app.state, Door(Bounds(calculators=1, waiting=1, times_cost=10))
    here, state.door = state.door, made
    yield Counted(monkeypatch)
    state.door = here
    asyncio.run(made.close())


def test_quote_walls_answers_the_field_the_same_from_another_process(
    field: TestClient, door: Counted, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a process calculates for the field is what is calculated here, to the byte."""
    quote, comparison = shipped_request(), {"quote": shipped_request(), "heights_that_fit": True}
    small_is(monkeypatch, math.inf)
    here = [
        field.post(path, json=body).content
        for path, body in (("/v1/quotes", quote), ("/v1/comparisons", comparison))
    ]
    small_is(monkeypatch, -1.0)
    there = [
        field.post(path, json=body).content
        for path, body in (("/v1/quotes", quote), ("/v1/comparisons", comparison))
    ]
    assert there == here
    assert door.times == 2


def test_quote_walls_orders_for_the_field_as_the_list_sells(field: TestClient) -> None:
    """By hand: 40 ft of the small wall, 4 ft exposed, take 189 whole units, whatever they cost."""
    answer = quoted(field, without(proof_request(), "prices"))
    (units,) = (line for line in answer["quantities"] if line["item"] == "block")
    assert Decimal(units["order"]["value"]) == Decimal(189)
