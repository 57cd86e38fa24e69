"""Large requests are read where they are answered, in processes of their own, with the same
answers: whoever is served meanwhile waits for no reading."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.api import quoting
from service.api.v1.documents import made
from service.api.v1.saved_quotes import drafting
from service.catalog import Catalog
from service.cli.examples import answers, read_examples
from service.cli.loopback import Answered
from service.cli.openapi import example_app
from service.operations.paper import kept
from service.operations.quoting.elsewhere import SMALL_BYTES
from service.storage import Store
from tests.given.door import Counted, large_is, small_is
from tests.given.heavy import service_over, small_request
from tests.given.price_requests import NEAR, changes, publish, raised
from tests.given.quote_requests import Json, level_wall, proof_request

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples"
CALCULATED = {"quote_walls", "compare_quotes", "quote_batch", "make_document"}
HEAD = {"X-Request-ID": "the-same"}
JSON = {**HEAD, "Content-Type": "application/json"}
LINES = {**HEAD, "Content-Type": "application/x-ndjson"}
PAPER = "/v1/documents/crew_sheet?format=html"


@pytest.fixture
def door(monkeypatch: pytest.MonkeyPatch) -> Counted:
    """How often the door was gone through in a test."""
    return Counted(monkeypatch)


def test_answers_are_the_same_bytes_wherever_they_are_read(
    monkeypatch: pytest.MonkeyPatch, door: Counted
) -> None:
    """Every example of what is calculated is answered alike, what is refused too."""
    examples = [each for each in read_examples(EXAMPLES) if each.operation_id in CALCULATED]
    small_is(monkeypatch, math.inf)
    with example_app() as app:
        here = {example: _same(answered) for example, answered, _ in answers(app, examples)}
    before = door.times
    large_is(monkeypatch, -1)
    with example_app() as app:
        for example, answered, _ in answers(app, examples):
            assert _same(answered) == here[example], example
    assert door.times - before >= before + 15


def _same(answered: Answered) -> Answered:
    """An answer without the second in which it was made."""
    headers = {name: value for name, value in answered.headers.items() if name != "date"}
    return replace(answered, headers=headers)


def test_large_requests_are_not_read_here(
    catalog: Catalog, store: Store, monkeypatch: pytest.MonkeyPatch, door: Counted
) -> None:
    """Nothing that reads requests is called where requests come in: for a quote, a comparison, a
    batch either way, a paper, a quote that is kept, and its paper."""
    asked = _padded(small_request())
    with service_over(catalog, store, calculators=1) as client:
        _read_nothing(monkeypatch)
        told: list[Response] = []
        for path, body, head in _ways(asked):
            told.append(client.post(path, content=body, headers=head))
            assert told[-1].status_code in (200, 201, 207), told[-1].text
            assert b"problem" not in told[-1].content
            assert door.times == len(told)
        saved = f"/v1/saved-quotes/{told[-1].json()['id']}"
        assert (
            client.get(f"{saved}/revisions/1/documents/crew_sheet?format=html").status_code == 200
        )


def _padded(asked: Json) -> Json:
    """A request of more bytes than are read at once, as its walls have long names."""
    named = ("along the fence " * 8).strip()
    walls = [{**asked["walls"][0], "name": f"{number} {named}"} for number in range(50)]
    padded = {**asked, "walls": walls}
    assert len(json.dumps(padded)) > SMALL_BYTES
    return padded


def _ways(asked: Json) -> Iterator[tuple[str, bytes, dict[str, str]]]:
    """Each call that a quote request may come by; the last one keeps it."""
    wrapped = {"quote": asked}
    compared = {**wrapped, "alternatives": [{"section": asked["section"]}]}
    yield "/v1/quotes", json.dumps(asked).encode(), JSON
    yield "/v1/comparisons", json.dumps(compared).encode(), JSON
    yield "/v1/quotes/batch", json.dumps([asked]).encode(), JSON
    yield "/v1/quotes/batch", json.dumps(asked).encode(), LINES
    yield PAPER, json.dumps(wrapped).encode(), JSON
    yield "/v1/saved-quotes", json.dumps(wrapped).encode(), JSON


def _read_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on nothing reads a request in this process."""

    def read(*_given: object, **_named: object) -> NoReturn:
        raise AssertionError("read where it came in")

    priced = replace(quoting.WITH_PRICES, prepare_quote=read, prepare_comparison=read)
    monkeypatch.setattr(quoting, "WITH_PRICES", priced)
    monkeypatch.setattr(made, "prepare_new_paper", read)
    monkeypatch.setattr(drafting, "prepare_draft", read)
    monkeypatch.setattr(kept, "prepare_paper", read)


# Lists and revisions that there are, that there aren't, and that can't be.
NAMED: tuple[Any, ...] = (
    {"price_list": "yard"},
    {"price_list": "yard", "revision": 1},
    {"price_list": "yard", "revision": "latest"},
    {"price_list": "yard", "revision": 3},
    {"price_list": "yard", "revision": 0},
    {"price_list": "yard", "revision": 10**17},
    {"price_list": "yard", "revision": "2"},
    {"price_list": "yard", "revision": True},
    {"price_list": "yart"},
    {"price_list": "nothing_like_it"},
    {"price_list": "No Id"},
    {"price_list": ""},
    {"price_list": 7},
    {"price_list": ["yard"]},
    [],
)


def test_stored_prices_are_looked_up_for_what_is_read_elsewhere(
    proof_catalog: Catalog, store: Store, monkeypatch: pytest.MonkeyPatch, door: Counted
) -> None:
    """A list that only the database has gives the same answers: the newest revision, an older one,
    and in the same words that there is no such list, or no such revision."""
    with service_over(proof_catalog, store, calculators=1) as client:
        first = publish(client, NEAR)
        assert first.status_code == 201
        second = publish(client, changes(raised("1.1")), etag=first.headers["etag"])
        assert second.status_code == 201, second.text
        requests = [proof_request(level_wall(), prices=each) for each in NAMED]
        here = [_answers(client, each) for each in requests]
        before = door.times
        large_is(monkeypatch, -1)
        for asked, told in zip(requests, here, strict=True):
            assert _answers(client, asked) == told, asked["prices"]
    assert door.times - before >= 6 * len(NAMED)
    newest, oldest, latest = (each[0][1] for each in here[:3])
    assert newest == latest != oldest
    assert all(status == 200 for status, _ in (here[0][0], here[1][0]))
    assert "yard" in json.loads(here[8][0][1])["errors"][0]["hint"]
    assert "revision 1 to 2" in json.loads(here[3][0][1])["errors"][0]["hint"]


def _answers(client: TestClient, asked: Json) -> list[tuple[int, bytes]]:
    """The answers to a request by each way; of a kept one what was calculated."""
    return [_told(client, path, body, head) for path, body, head in _ways(asked)]


def _told(client: TestClient, path: str, body: bytes, head: dict[str, str]) -> tuple[int, bytes]:
    answer: Response = client.post(path, content=body, headers=head)
    told = answer.content
    if answer.status_code == 201:
        told = client.get(f"{path}/{answer.json()['id']}/revisions/1/answer").content
    return answer.status_code, told
