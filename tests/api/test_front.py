"""The front: what every request passes before a route, and every answer on its way out."""

import asyncio
import json
import logging
from typing import Any

import pytest
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route, Router
from starlette.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send

from service.api.app import create_app
from service.api.bodies import MAX_BODY_BYTES, read_json
from service.api.dependencies import CALLER
from service.api.front import Front
from service.api.problems import ProblemError
from service.catalog import Catalog
from service.operations.callers.caller import Caller
from service.settings import Settings
from tests.given.problem_checks import assert_problem


def test_front_keeps_a_plain_request_id(client: TestClient) -> None:
    """A request id that is a plain word comes back in the header and as `instance`."""
    response = client.get("/nowhere", headers={"X-Request-ID": "job-0042.7_a"})
    assert response.headers["x-request-id"] == "job-0042.7_a"
    assert assert_problem(response, 404, "not-found")["instance"] == "job-0042.7_a"


@pytest.mark.parametrize("given", ["", "a b", "a" * 65, "<script>", "ä", 'x"y'])
def test_front_replaces_an_odd_request_id(client: TestClient, given: str) -> None:
    """Anything but a short plain word is replaced, so that no answer or log repeats it."""
    response = client.get("/health/live", headers={b"X-Request-ID": given.encode("utf-8")})
    assert len(response.headers["x-request-id"]) == 32


@pytest.mark.parametrize(
    "host", ["localhost", "127.0.0.1", "[::1]", "LOCALHOST:8000", "[::1]:8000"]
)
def test_front_answers_loopback_names(client: TestClient, host: str) -> None:
    """Names of this machine are served, with any port."""
    assert client.get("/health/live", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["testserver", "evil.example", "127.0.0.1.evil.example", "", "[::1]x", "localhost."]
)
def test_front_refuses_other_hosts(client: TestClient, host: str) -> None:
    """A name that is rebound to this machine is no name of this machine."""
    response = client.get("/v1/soils", headers={"Host": host})
    assert_problem(response, 403, "host-refused")


def test_front_answers_a_host_the_settings_name(catalog: Catalog) -> None:
    """Whoever runs the service can allow a further name."""
    app = create_app(Settings.model_construct(allowed_hosts=("testserver",)), catalog)
    assert TestClient(app).get("/health/live").status_code == 200


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:9", "file://"])
def test_front_refuses_foreign_origins(client: TestClient, origin: str) -> None:
    """A page of another origin can't reach the service through its user's browser."""
    response = client.post("/v1/catalog/reload", headers={"Origin": origin})
    assert_problem(response, 403, "origin-refused")


def test_front_answers_its_own_pages(client: TestClient) -> None:
    """The API pages may try calls: their origin is the host they came from."""
    headers = {"Origin": "http://127.0.0.1:8000"}
    assert client.get("/health/live", headers=headers).status_code == 200


@pytest.mark.parametrize(
    "accept",
    ["*/*", "application/json", "application/*;q=0.1", "text/html, */*;q=0.8", "text/csv,", ""],
)
def test_front_accepts_what_json_fits(client: TestClient, accept: str) -> None:
    """Any `Accept` that takes JSON is met."""
    expected = 406 if accept == "text/csv," else 200
    assert client.get("/v1/soils", headers={"Accept": accept}).status_code == expected


@pytest.mark.parametrize(
    "accept", ["text/html", "application/json;q=0", "application/json;q=0, */*", "image/*, x"]
)
def test_front_refuses_an_accept_it_cannot_meet(client: TestClient, accept: str) -> None:
    """An answer that would not be read is not made; the more specific range decides."""
    response = client.get("/v1/soils", headers={"Accept": accept})
    assert_problem(response, 406, "not-acceptable")


def test_front_sends_safe_headers(client: TestClient) -> None:
    """Every answer forbids sniffing, framing and loading; answers are not kept unless said so."""
    headers = client.get("/health/live").headers
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"
    assert headers["cache-control"] == "no-store"


def test_front_answers_head_like_get(client: TestClient) -> None:
    """HEAD gets the headers of GET and no body."""
    got, head = client.get("/v1/soils"), client.head("/v1/soils")
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["etag"] == got.headers["etag"]


@pytest.mark.parametrize("length", ["2000000", "9" * 400, "x", "-1"])
def test_front_refuses_lengths_beyond_the_limit(client: TestClient, length: str) -> None:
    """A stated length is judged before anything is read; no length makes the service count."""
    response = client.post("/v1/catalog/reload", headers={"Content-Length": length}, content=b"{}")
    if length.isdigit():
        assert_problem(response, 413, "body-too-large")
    else:
        assert_problem(response, 400, "request-malformed")


@pytest.mark.parametrize("path", ["/v1/soils", "/v1/soils?cursor=" + "A" * 20_000])
def test_front_refuses_a_large_head(client: TestClient, path: str) -> None:
    """The address and the headers have 16 KiB together."""
    headers = {} if "?" in path else {f"X-{n}": "x" * 100 for n in range(170)}
    assert_problem(client.get(path, headers=headers), 431, "head-too-large")


def test_front_refuses_two_framings(client: TestClient) -> None:
    """A body framed by length and by chunks at once is how requests are smuggled."""
    headers = {"Content-Length": "2", "Transfer-Encoding": "chunked"}
    response = client.post("/v1/catalog/reload", headers=headers, content=b"{}")
    assert_problem(response, 400, "request-malformed")
    assert response.headers["connection"] == "close"


def _failing(after_start: bool) -> Front:
    async def fail(scope: Scope, receive: Receive, send: Send) -> None:
        if after_start:
            await PlainTextResponse("begun")(scope, receive, send)
        raise RuntimeError("secret-4711 in the message")

    return Front(fail)


def test_front_hides_a_failure(caplog: pytest.LogCaptureFixture) -> None:
    """A failure is a 500 problem without details; the log has the id and the place, no message."""
    client = TestClient(_failing(after_start=False), base_url="http://localhost")
    with caplog.at_level(logging.ERROR):
        response = client.get("/", headers={"X-Request-ID": "find-me"})
    problem = assert_problem(response, 500, "internal-error")
    assert problem["instance"] == "find-me"
    record = vars(caplog.records[-1])
    assert (record["request_id"], record["error_type"]) == ("find-me", "RuntimeError")
    assert "fail:" in record["where"]
    assert "secret-4711" not in response.text + caplog.text + repr(record["where"])


def test_front_breaks_off_when_an_answer_has_begun() -> None:
    """Half an answer can't become a problem: the connection is broken off."""
    client = TestClient(_failing(after_start=True), base_url="http://localhost")
    with pytest.raises(RuntimeError):
        client.get("/")


def test_front_answers_problems_raised_outside_of_the_framework() -> None:
    """A problem is answered wherever it is raised."""

    async def refuse(_scope: Scope, _receive: Receive, _send: Send) -> None:
        raise ProblemError("rate-limited", headers={"Retry-After": "3"})

    response = TestClient(Front(refuse), base_url="http://localhost").get("/")
    assert_problem(response, 429, "rate-limited")
    assert response.headers["retry-after"] == "3"


def test_front_logs_one_line_per_request_when_asked(caplog: pytest.LogCaptureFixture) -> None:
    """The access log names method, route, status and time, and no path the caller made up."""

    async def answer(_request: Request) -> Response:
        return PlainTextResponse("ok")

    app = Front(Router([Route("/things/{id}", answer)]), access_log=True)
    with caplog.at_level(logging.INFO, logger="service.access"):
        TestClient(app, base_url="http://localhost").get("/things/secret")
    record = vars(caplog.records[-1])
    assert (record["method"], record["status"]) == ("GET", 200)
    assert "secret" not in str(record)


def test_front_logs_who_called(caplog: pytest.LogCaptureFixture) -> None:
    """The line of a call names the id of its caller's key, and nothing else of it."""
    caller = Caller(by="k_17", scopes=frozenset({"field"}), website="demo", origins=("secret",))

    async def answer(request: Request) -> Response:
        request.scope[CALLER] = caller
        return PlainTextResponse("ok")

    app = Front(Router([Route("/things/{id}", answer)]), access_log=True)
    with caplog.at_level(logging.INFO, logger="service.access"):
        TestClient(app, base_url="http://localhost").get("/things/secret")
    record = vars(caplog.records[-1])
    assert record["caller"] == "k_17"
    assert "secret" not in str(record)


def _chunks(sizes: list[int], *, then: str = "end") -> Receive:
    messages: list[Message] = [
        {"type": "http.request", "body": b" " * size, "more_body": True} for size in sizes
    ]
    ending: dict[str, Message] = {
        "end": {"type": "http.request", "body": b"", "more_body": False},
        "leave": {"type": "http.disconnect"},
    }
    if then in ending:
        messages.append(ending[then])
    queue = iter(messages)

    async def receive() -> Message:
        try:
            return next(queue)
        except StopIteration:
            await asyncio.sleep(60)  # a caller that says no more
            raise

    return receive


def _post(receive: Receive, headers: dict[str, str] | None = None) -> list[Message]:
    """What the front sends for a body that arrives as `receive` tells."""

    async def read(scope: Scope, receive: Receive, send: Send) -> None:
        await read_json(Request(scope, receive))
        await PlainTextResponse("read")(scope, receive, send)

    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    given = {"host": "localhost", "content-type": "application/json", **(headers or {})}
    raw = [(name.encode(), value.encode()) for name, value in given.items()]
    scope: dict[str, Any] = {"type": "http", "method": "POST", "path": "/", "headers": raw}
    asyncio.run(Front(read)(scope, receive, send))
    return sent


def _answer(sent: list[Message]) -> tuple[int, dict[bytes, bytes], dict[str, Any]]:
    return sent[0]["status"], dict(sent[0]["headers"]), json.loads(sent[1]["body"])


def test_front_counts_a_body_without_length() -> None:
    """A chunked body is refused once it passes the limit; the rest is read off, then answered."""
    status, headers, problem = _answer(_post(_chunks([MAX_BODY_BYTES, 1, 1000])))
    assert (status, problem["code"]) == (413, "body-too-large")
    assert b"connection" not in headers


def test_front_stops_reading_a_body_without_end() -> None:
    """Beyond four further MiB nothing is read: the answer comes and the connection ends."""
    status, headers, _ = _answer(_post(_chunks([MAX_BODY_BYTES] * 50)))
    assert (status, headers[b"connection"]) == (413, b"close")


def test_front_stops_waiting_for_a_body(monkeypatch: pytest.MonkeyPatch) -> None:
    """A caller who sends too much and then nothing is answered after the time given."""
    monkeypatch.setattr("service.api.bodies.DRAIN_SECONDS", 0.01)
    sent = _post(_chunks([], then="silence"), {"content-length": "2000000"})
    status, headers, _ = _answer(sent)
    assert (status, headers[b"connection"]) == (413, b"close")


def test_front_reads_nothing_from_a_caller_who_waits_for_leave() -> None:
    """`Expect: 100-continue` with too large a body is refused before the body is sent."""
    sent = _post(
        _chunks([], then="silence"), {"content-length": "2000000", "expect": "100-continue"}
    )
    assert _answer(sent)[0] == 413


def test_front_answers_nobody_when_the_caller_left() -> None:
    """A caller who leaves in the middle of a body gets no answer, and nothing is logged."""
    assert _post(_chunks([10], then="leave")) == []


def test_front_passes_a_body_of_exactly_the_limit() -> None:
    """1 MiB is still read."""
    assert _answer_status(_post(_chunks([MAX_BODY_BYTES]))) == 400  # spaces are no JSON


def _answer_status(sent: list[Message]) -> int:
    status: int = sent[0]["status"]
    return status
