"""Heavy requests are calculated in processes of their own, with the same answers."""

from __future__ import annotations

import asyncio
import json
import math
import multiprocessing
import os
import signal
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest
from httpx2 import Response
from starlette.testclient import TestClient
from starlette.types import Message

from service.api import quoting
from service.api.app import create_app
from service.calculators import Bounds, Door
from service.catalog import Catalog, load_catalog
from service.cli.examples import answers, read_examples
from service.cli.loopback import Answered
from service.cli.openapi import example_app
from service.settings import Settings
from service.storage import Store
from tests.given import errands
from tests.given.door import Counted, small_is, until_inside
from tests.given.further_soils import add_soil
from tests.given.heavy import heavy_comparison, heavy_request, service_over, small_request
from tests.given.price_requests import NEAR, changes, publish, raised
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import Json, level_wall, proof_request
from tests.given.served import BASE_URL

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples"


@pytest.fixture
def door(monkeypatch: pytest.MonkeyPatch) -> Counted:
    """How often the door was gone through in a test."""
    return Counted(monkeypatch)


def test_small_requests_are_calculated_at_once(catalog: Catalog, door: Counted) -> None:
    """What is small goes through no door, and begins no process."""
    before = multiprocessing.active_children()
    with service_over(catalog) as client:
        assert client.post("/v1/quotes", json=small_request()).status_code == 200
        assert multiprocessing.active_children() == before
    assert door.times == 0


def test_answers_are_the_same_bytes_elsewhere(
    monkeypatch: pytest.MonkeyPatch, door: Counted
) -> None:
    """Every example is answered alike in place and in another process: quotes, comparisons,
    batches, and what is refused."""
    examples = [
        each
        for each in read_examples(EXAMPLES)
        if each.operation_id in {"quote_walls", "compare_quotes", "quote_batch"}
    ]
    small_is(monkeypatch, math.inf)
    with example_app() as app:
        here = {example: _same(answered) for example, answered, _ in answers(app, examples)}
    assert door.times == 0
    small_is(monkeypatch, -1.0)
    with example_app() as app:
        for example, answered, _ in answers(app, examples):
            assert _same(answered) == here[example], example
    assert door.times >= 15


def _same(answered: Answered) -> Answered:
    """An answer without the second in which it was made."""
    headers = {name: value for name, value in answered.headers.items() if name != "date"}
    return replace(answered, headers=headers)


def test_faults_of_the_calculation_are_the_same_elsewhere(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What only pricing finds comes back as the same problem, alone and in a batch."""
    asked = {**small_request(), "prices": {"currency": "USD", "items": {}}}
    with service_over(catalog, calculators=1) as client:
        here = _asked_both_ways(client, asked)
        small_is(monkeypatch, -1.0)
        assert _asked_both_ways(client, asked) == here
    assert assert_problem_of(here[0], 422)["errors_total"] > 1


def _asked_both_ways(client: TestClient, asked: Json) -> tuple[bytes, bytes]:
    head = {"X-Request-ID": "the-same"}
    alone = client.post("/v1/quotes", json=asked, headers=head)
    return alone.content, client.post("/v1/quotes/batch", json=[asked], headers=head).content


def assert_problem_of(body: bytes, status: int) -> Json:
    """A problem with a status, from the bytes of its answer."""
    problem: Json = json.loads(body)
    assert problem["status"] == status
    return problem


def test_stored_prices_are_handed_over(
    proof_catalog: Catalog, store: Store, monkeypatch: pytest.MonkeyPatch, door: Counted
) -> None:
    """A list that only the database has is looked up here: the latest revision and an older one
    give the same quotes, elsewhere too."""
    with service_over(proof_catalog, store, calculators=1) as client:
        first = publish(client, NEAR)
        assert first.status_code == 201
        second = publish(client, changes(raised("1.1")), etag=first.headers["etag"])
        assert second.status_code == 201, second.text
        lists: list[Json] = [{"price_list": "yard", "revision": each} for each in (1, 2, "latest")]
        asked = [proof_request(level_wall(), prices=each) for each in lists]
        here = [client.post("/v1/quotes", json=each).content for each in asked]
        small_is(monkeypatch, -1.0)
        assert [client.post("/v1/quotes", json=each).content for each in asked] == here
        body = {"quote": asked[0], "alternatives": [{"section": asked[0]["section"]}]}
        assert client.post("/v1/comparisons", json=body).status_code == 200
    assert door.times == 4
    assert here[1] == here[2] != here[0]


def test_saved_quotes_are_calculated_elsewhere(
    proof_catalog: Catalog, store: Store, monkeypatch: pytest.MonkeyPatch, door: Counted
) -> None:
    """A quote that is kept, and its revision, are the same bytes wherever they were calculated,
    faults too; a call that is repeated calculates nothing."""
    with service_over(proof_catalog, store, calculators=1) as client:
        assert publish(client, NEAR).status_code == 201
        here = _kept(client, "here")
        small_is(monkeypatch, -1.0)
        there = _kept(client, "there")
        assert door.times == 3
        assert _kept(client, "there") == there
        assert door.times == 4  # what was refused is tried again
    assert there == here


def _kept(client: TestClient, key: str) -> list[object]:
    """A quote is saved and revised under keys, once with faults: what is kept and told."""
    asked = proof_request(level_wall(), prices={"price_list": "yard"})
    head = {"Idempotency-Key": f'"{key}"'}
    saved = client.post("/v1/saved-quotes", json={"quote": asked}, headers=head)
    assert saved.status_code == 201, saved.text
    url = f"/v1/saved-quotes/{saved.json()['id']}"
    revised = client.post(
        f"{url}/revisions",
        json={"quote": asked},
        headers={**head, "If-Match": saved.headers["etag"]},
    )
    assert revised.status_code == 201, revised.text
    unpriced = {**asked, "prices": {"currency": "USD", "items": {}}}
    body, named = {"quote": unpriced}, {"X-Request-ID": "same"}
    faults = client.post("/v1/saved-quotes", json=body, headers=named)
    assert faults.json()["errors"][0]["pointer"].startswith("/quote/")
    answers = [client.get(f"{url}/revisions/{number}/answer").content for number in (1, 2)]
    assert all(json.loads(each)["digest"] for each in answers)
    return [saved.json()["facts"], revised.json()["digest"], *answers, faults.content]


@pytest.mark.parametrize("number", [1, 2, 10])
def test_heavy_requests_hold_nobody_up(catalog: Catalog, number: int) -> None:
    """While so many heavy requests are calculated, small quotes and health are answered again and
    again; and the heavy ones all alike."""
    with service_over(catalog) as client, ThreadPoolExecutor(number) as callers:
        small = client.post("/v1/quotes", json=small_request())
        heavy = [
            callers.submit(_post, client, "/v1/quotes", heavy_request(20, 16))
            for _ in range(number)
        ]
        answered = 0
        while not any(each.done() for each in heavy):
            assert client.get("/health/live").status_code == 200
            assert client.post("/v1/quotes", json=small_request()).content == small.content
            answered += 1
            time.sleep(0.02)
        found = [each.result() for each in heavy]
    assert answered >= 3
    assert {each.status_code for each in found} == {200}
    assert len({each.content for each in found}) == 1


def _post(client: TestClient, path: str, body: object) -> Response:
    return client.post(path, json=body)


def test_requests_beyond_the_queue_are_told_to_come_again(catalog: Catalog) -> None:
    """One is calculated, one waits: a third heavy one is 503 `busy` with Retry-After, a small one
    is answered, and one of a batch waits for its turn."""
    service = service_over(catalog, calculators=1, waiting_calculations=1)
    with service as client, ThreadPoolExecutor(3) as callers:
        two = [callers.submit(_post, client, "/v1/quotes", heavy_request()) for _ in range(2)]
        until_inside(client, 2)
        refused = client.post("/v1/comparisons", json=heavy_comparison())
        assert_problem(refused, 503, "busy")
        assert int(refused.headers["retry-after"]) >= 1
        assert client.post("/v1/quotes", json=small_request()).status_code == 200
        batch = callers.submit(_post, client, "/v1/quotes/batch", [heavy_request()])
        assert [each.result().status_code for each in two] == [200, 200]
        assert batch.result().json()["items"][0]["status"] == 200


def test_calculation_beyond_its_deadline_is_stopped(catalog: Catalog) -> None:
    """What takes far longer than it was thought to is 503 `calculation-stopped`, which says how
    long it was given, in a batch too."""
    bounds = Bounds(calculators=1, waiting=1, times_cost=0.05, least_seconds=0.05)
    with service_over(catalog) as client:
        client.app.state.door = Door(bounds)  # type: ignore[attr-defined]
        stopped = client.post("/v1/quotes", json=heavy_request())
        problem = assert_problem(stopped, 503, "calculation-stopped")
        assert problem["detail"] == "This was to take about 1.2 s and was stopped after 0.1 s."
        assert stopped.headers["retry-after"]
        (item,) = client.post("/v1/quotes/batch", json=[heavy_request()]).json()["items"]
        assert (item["status"], item["problem"]["code"]) == (503, "calculation-stopped")


def test_who_leaves_makes_room(catalog: Catalog) -> None:
    """A caller who leaves while its request is calculated frees the only place there is."""
    with service_over(catalog, calculators=1, waiting_calculations=0) as client:
        app = client.app
        leave = asyncio.Event()

        async def call() -> None:
            body = json.dumps(heavy_request(30, 36)).encode()
            messages = iter([{"type": "http.request", "body": body, "more_body": False}])

            async def receive() -> Message:
                if (message := next(messages, None)) is not None:
                    return message
                await leave.wait()
                return {"type": "http.disconnect"}

            async def send(_message: Message) -> None:
                raise AssertionError("nobody is there")

            scope = {"type": "http", "method": "POST", "path": "/v1/quotes", "query_string": b""}
            head = [(b"host", b"localhost"), (b"content-type", b"application/json")]
            await app({**scope, "headers": head}, receive, send)

        assert client.portal is not None
        called = client.portal.start_task_soon(call)
        until_inside(client, 1)
        assert_problem(client.post("/v1/quotes", json=heavy_request()), 503, "busy")
        client.portal.call(leave.set)
        called.result(10)
        assert client.post("/v1/quotes", json=heavy_request(12, 8)).status_code == 200


def test_reload_reaches_every_process(folder: Path) -> None:
    """After a reload a heavy quote is calculated with the new catalog, in the processes that are
    there."""
    settings = Settings.model_construct(catalog_path=(folder,), calculators=1)
    app = create_app(settings, load_catalog(settings.catalog_path))
    with TestClient(app, base_url=BASE_URL) as client:
        before = client.post("/v1/quotes", json=heavy_request(12, 8)).json()
        processes = [each.pid for each in multiprocessing.active_children()]
        add_soil(folder, "yard_loam")
        version = client.post("/v1/catalog/reload").json()["version"]
        asked = {**heavy_request(12, 8), "soils": {"retained": "yard_loam"}}
        after = client.post("/v1/quotes", json=asked).json()
        assert after["catalog_version"] == version != before["catalog_version"]
        assert [each.pid for each in multiprocessing.active_children()] == processes


def test_a_killed_process_costs_its_caller_nothing(catalog: Catalog) -> None:
    """The process that calculates is killed, in the middle and when it is idle: the answers are
    the same bytes."""
    with service_over(catalog, calculators=1) as client, ThreadPoolExecutor(1) as callers:
        whole = client.post("/v1/quotes", json=heavy_request()).content
        running = callers.submit(_post, client, "/v1/quotes", heavy_request())
        until_inside(client, 1)
        _kill_processes()
        assert running.result().content == whole
        _kill_processes()
        assert client.post("/v1/quotes", json=heavy_request()).content == whole


def _kill_processes() -> None:
    for each in multiprocessing.active_children():
        os.kill(each.pid or 0, signal.SIGKILL)


def test_failure_elsewhere_is_a_failure_of_the_service(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """What nobody expected is 500 `internal-error`; the log says what happened there."""
    failing = replace(quoting.WITH_PRICES, answer_quote=errands.fail)  # type: ignore[arg-type]
    monkeypatch.setattr(quoting, "WITH_PRICES", failing)
    with service_over(catalog, calculators=1) as client:
        assert_problem(client.post("/v1/quotes", json=heavy_request(12, 8)), 500, "internal-error")
    (record,) = (vars(each) for each in caplog.records if each.message == "request failed")
    assert record["error_type"] == "ZeroDivisionError"
    assert "fail:" in record["where"]


def test_stop_leaves_no_process(catalog: Catalog) -> None:
    """When the service ends, the processes that calculate end with it."""
    before = {each.pid for each in multiprocessing.active_children()}
    with service_over(catalog, calculators=2) as client:
        assert client.post("/v1/quotes", json=heavy_request(12, 8)).status_code == 200
        assert len({each.pid for each in multiprocessing.active_children()} - before) == 2
    assert {each.pid for each in multiprocessing.active_children()} <= before
